"""A check in words, for pages and records."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from scoring.mastery.decision import call
from trainer.drills.check_beside import supervised
from trainer.drills.check_open import OPEN_DAYS
from trainer.drills.models import Check, CheckEnd
from trainer.library.skills import skill_name
from trainer.people.models import Person
from trainer.progress.check_decide import Decided, starred

WORDS = {
    "ready": "Ready, by this check",
    "not ready": "Not ready yet, by this check",
    "cannot be said": "Undecided, by this check",
    "given up": "Given up",
}
SHAPES = {"ready": "holds", "not ready": "fails", "cannot be said": "look-again", "given up": "look-again"}
SAYS = {"ready": "at the cut", "not ready": "not there yet", "not enough evidence": "not enough evidence"}


@dataclass(frozen=True, slots=True)
class StarRow:
    """One starred skill in a check."""

    name: str
    count: int
    score: float
    low: float
    high: float
    says: str


def why(check: Check, end: CheckEnd, cut: float) -> str:
    """What an outcome means, in a sentence or two."""
    cases = f"{end.count} case{'' if end.count == 1 else 's'}"
    if end.outcome == CheckEnd.Outcome.READY:
        return f"After {cases} it was safe to say: whoever answers like this has a score of {cut:.0f} or more."
    if end.outcome == CheckEnd.Outcome.NOT_READY:
        return f"After {cases} it was safe to say that something is still missing; below stands what."
    if end.outcome == CheckEnd.Outcome.OPEN:
        return f"{cases.capitalize()} were not enough to say on which side of {cut:.0f} the score lies."
    after = f"after {cases}; what was answered counts" if end.count else "before a case was answered"
    if end.ended_at >= check.opened_at + timedelta(days=OPEN_DAYS):
        return f"It was left open for {OPEN_DAYS} days and ended by itself {after}."
    return f"It was given up {after}."


def beside(check: Check) -> str:
    """Who sat beside, in a sentence."""
    name = check.supervised_by.name if check.supervised_by is not None else ""
    if supervised(check):
        by = check.witness.by.name if check.witness.by is not None else "A trainer"
        return f"Supervised: {by} sat beside from the first case to the last and says that nobody helped."
    if not name:
        return "Not supervised: nobody sat beside."
    if hasattr(check, "witness"):
        return f"Not supervised: {name} sat beside, and did not stay to the end or saw help given."
    return f"Not supervised so far: {name} sat beside and has yet to say how it went."


def star_rows(found: Decided) -> list[StarRow]:
    """The starred skills that the check asked about."""
    rows = []
    for code in sorted(starred() & found.figures.skills.keys()):
        figure = found.figures.skills[code]
        if figure.count:
            said = call(figure.chance, ready_at=found.rule.ready_chance, not_ready_at=found.rule.not_ready_chance)
            rows.append(StarRow(skill_name(code), figure.count, figure.score, figure.low, figure.high, SAYS[said]))
    return rows


def newest_of(person: Person) -> Check | None:
    """The newest check of a person that was not given up; None when there is none."""
    ended = Check.objects.filter(person=person, end__isnull=False).exclude(end__outcome=CheckEnd.Outcome.GIVEN_UP)
    return ended.select_related("end").order_by("-end__ended_at").first()


def opened_within(person: Person, on: date, days: int) -> int:
    """How many checks a person opened in so many days up to one."""
    return Check.objects.filter(person=person, opened_at__date__gt=on - timedelta(days=days)).count()


def row(check: Check) -> dict[str, Any]:
    """A check that is over, for a list."""
    return {"check": check, "words": WORDS[check.end.outcome], "beside": beside(check)}


__all__ = ["SHAPES", "WORDS", "StarRow", "beside", "newest_of", "opened_within", "row", "star_rows", "why"]
