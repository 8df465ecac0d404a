"""What a readiness record says: where the person stood on the day it was made, by which rule, resting on what.

Never a reason of a hold, an answer, an address or a trainer's name: what others read is what the person agreed to.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from scoring.mastery.ability import Figure
from scoring.mastery.decision import call
from scoring.mastery.population import STARTING
from scoring.mastery.readiness import Rule
from trainer.drills.check_beside import supervised
from trainer.library.rules import rules_for
from trainer.people.access import firms_of_people
from trainer.people.models import Firm, Person
from trainer.progress.check_words import WORDS, newest_of, opened_within
from trainer.progress.life import tallied
from trainer.progress.standing import standard_set
from trainer.progress.standings import Now, StarNow, now_of
from trainer.progress.tally import Tally, dawn

STATE_WORDS = {
    "untried": "Untried",
    "in training": "In training",
    "ready": "Ready",
    "due": "Due",
    "lapsed": "Lapsed",
    "held": "Held by a named person",
}
STATE_SHAPES = {"ready": "holds", "held": "fails", "lapsed": "fails"}
CALLS = {"ready": "at the cut", "not ready": "not there yet", "not enough evidence": "not enough evidence"}
YEAR_DAYS = 365


def says(person: Person, now: datetime) -> dict[str, Any]:
    """The body of a record made now, as JSON."""
    standing = now_of(person, now)
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    firms = firms_of_people(Person.objects.filter(pk=person.pk))
    tally, today = tallied(person.pk, rule), now.date()
    # Figures stand on the last day with a case or an entry; what is told of this day has faded since.
    found = tally.figures(dawn(today)) if standing.figured_on is not None and standing.figured_on < today else None
    whole = standing if found is None else found.overall
    return {
        "name": person.name,
        "firm": Firm.objects.get(pk=firms[person.pk]).name if person.pk in firms else "",
        "on": now.date().isoformat(),
        "state": standing.state,
        "since": standing.since.isoformat() if standing.since and standing.state != "held" else None,
        "score": whole.score,
        "low": whole.low,
        "high": whole.high,
        "chance": whole.chance,
        "count": standing.count,
        "rule": rule.version,
        "cut": rule.cut_points,
        "ready_chance": rule.ready_chance,
        "set": standard_set().version,
        "population": STARTING.version,
        "stars": [
            _star(star, found.skills.get(code) if found else None, rule) for code, star in standing.stars.items()
        ],
        "shoot": _shoot(tally),
        "check": _check(person, now.date()),
    }


def _star(star: StarNow, faded: Figure | None, rule: Rule) -> dict[str, Any]:
    """One starred skill: what is said of it, and from how many cases. What has faded says no more than it did."""
    if star.by_shoot:
        return {"name": star.name, "says": "seen done" if star.call == "ready" else "not seen done", "count": None}
    said = star.call
    if faded is not None and star.count and said != "not ready":
        today = call(faded.chance, ready_at=rule.ready_chance, not_ready_at=rule.not_ready_chance)
        said = said if today == "ready" else today
    return {"name": star.name, "says": CALLS[said], "count": star.count}


def _shoot(tally: Tally) -> dict[str, Any] | None:
    """The newest observed shoot that stands; None when there is none."""
    shoot = tally.shoot
    return None if shoot is None else {"on": shoot.shot_on.isoformat(), "signed": shoot.signed}


def _check(person: Person, on: date) -> dict[str, Any] | None:
    """The newest readiness check that was gone through; None when there is none."""
    check = newest_of(person)
    if check is None:
        return None
    end = check.end
    return {
        "outcome": end.outcome, "words": WORDS[end.outcome], "rule": check.rule,
        "on": end.ended_at.date().isoformat(),
        "count": end.count, "score": end.score, "low": end.low, "high": end.high,
        "supervised": supervised(check), "opened_in_a_year": opened_within(person, on, YEAR_DAYS),
    }  # fmt: skip


def sheet_of(body: dict[str, Any]) -> dict[str, Any]:
    """A body with its dates as dates and its state in words, for templates."""
    day = date.fromisoformat
    return {
        **body,
        "on": day(body["on"]),
        "since": day(body["since"]) if body["since"] else None,
        "words": STATE_WORDS[body["state"]],
        "shape": STATE_SHAPES.get(body["state"], "look-again"),
        "shoot": {**body["shoot"], "on": day(body["shoot"]["on"])} if body["shoot"] else None,
        "check": {**body["check"], "on": day(body["check"]["on"])} if body["check"] else None,
        "supervised": bool(body["check"] and body["check"]["supervised"]),
    }


def today_words(told: dict[str, Any], standing: Now) -> str:
    """What is true today, in a sentence that says whether it is still what the record says."""
    words = STATE_WORDS[standing.state].lower()
    if standing.state == told["state"]:
        return f"Today the state is the same: {words}."
    since = "" if standing.since is None else f" since {standing.since.day} {standing.since:%B %Y}"
    return f"Today the state is another one: {words}{since}."


__all__ = ["STATE_SHAPES", "STATE_WORDS", "says", "sheet_of", "today_words"]
