"""Today's set: the drills chosen for one person for one day, kept, with what of it is done.

record, belief, stock, asked, reshoots  --choose-->  DaySet row (once a day)  --ledger-->  done or not
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from statistics import median
from typing import Any
from uuid import UUID

from scoring.drill import Recipe
from trainer.drills.models import Attempt
from trainer.library.shelf import recipes
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.choice import LEAST, MOST, choose
from trainer.progress.choice_words import why_chosen
from trainer.progress.counts import TIMES, seconds_taken
from trainer.progress.known import known_of
from trainer.progress.models import DaySet, Record
from trainer.progress.why import MINUTES_PER_CASE
from trainer.roster.models import KitChange

OWN_TIME_FROM = 3
"""So many cases of a kind tell how long it takes this person; before that it is taken to be the common time."""


ANEW_LEAST = 2
"""So many drills come to a set after a change of kit, however much of it is done."""


@dataclass(frozen=True, slots=True)
class Drill:
    """One drill of the set as it stands now."""

    place: int
    recipe: Recipe
    words: str
    """Why it is there, in one sentence."""
    minutes: float
    attempt_id: UUID | None
    """The graded attempt that ticks it; None while it is to be done."""

    @property
    def about(self) -> int:
        """Whole minutes, at least one."""
        return max(1, round(self.minutes))


@dataclass(frozen=True, slots=True)
class TodaysSet:
    """The set of a day."""

    drills: tuple[Drill, ...]

    @property
    def next(self) -> Drill | None:
        """The first one that is to be done; None when all are."""
        return next((drill for drill in self.drills if drill.attempt_id is None), None)

    @property
    def done(self) -> int:
        """So many are done."""
        return sum(drill.attempt_id is not None for drill in self.drills)

    @property
    def minutes_left(self) -> int:
        """About how long the rest takes."""
        return round(sum(drill.minutes for drill in self.drills if drill.attempt_id is None))


def todays_set(person: Person, now: datetime) -> TodaysSet | None:
    """The set of the day, made at the first look; None for somebody of whom nothing is known yet.

    A reload shows the same ones, whatever was graded meanwhile; a drill that has left the shelf leaves the set. After a
    change of kit what is not begun is chosen anew.
    """
    row = own(DaySet.objects.filter(day=now.date()), person).first()
    if row is None:
        if not own(Record.objects.all(), person).exists():
            return None
        picks = _chosen(person, now)
        if not picks:
            return None
        row, _ = DaySet.objects.get_or_create(person=person, day=now.date(), defaults={"picks": picks, "made_at": now})
    elif own(KitChange.objects.filter(made_at__gt=row.made_at, made_at__lte=now), person).exists():
        _choose_anew(person, row, now)
    return _as_it_stands(person, row)


def _choose_anew(person: Person, row: DaySet, now: datetime) -> None:
    """Keep what is begun or done of the set, and choose the rest again. Of two devices at once one chooses."""
    drills = own(Attempt.objects.filter(mode=Attempt.Mode.DRILL, void__isnull=True), person)
    begun = set(drills.filter(issued_at__gte=row.made_at).values_list("recipe", flat=True))
    begun |= set(drills.filter(answer__received_at__gte=row.made_at).values_list("recipe", flat=True))
    kept = [{"since": row.made_at.isoformat(), **pick} for pick in row.picks if pick["recipe"] in begun]
    graded = set(drills.filter(answer__received_at__gte=row.made_at).values_list("recipe", flat=True))
    picks = [*kept, *_chosen(person, now, frozenset(pick["recipe"] for pick in kept), begun - graded)]
    DaySet.objects.filter(pk=row.pk, made_at=row.made_at).update(picks=picks, made_at=now)
    row.refresh_from_db()


def _chosen(
    person: Person, now: datetime, beside: frozenset[str] = frozenset(), open_ones: Collection[str] = ()
) -> list[dict[str, Any]]:
    """Drills to go with those of a set that are kept, or a whole set; ``open_ones`` of them are still to be done."""
    known = known_of(person, now)
    coming = Counter(skill for recipe in recipes() if recipe.name in beside & set(open_ones) for skill in recipe.skills)
    picks = choose(
        [offer for offer in known.offers if offer.recipe not in beside],
        known.states,
        asked=[replace(one, left=one.left - coming[one.skill]) for one in known.requests if one.recipe not in beside],
        lacks=known.lacks,
        weights=known.weights,
        costly=known.costly,
        seed=_seed(person, now),
        least=max(ANEW_LEAST, LEAST - len(beside)),
        most=max(ANEW_LEAST, MOST - len(beside)),
    )
    return [{**asdict(pick), "words": why_chosen(pick, known, now.date())} for pick in picks]


def _seed(person: Person, now: datetime) -> int:
    """Another one for each person and day, and the same all day."""
    return person.pk.int ^ now.date().toordinal()


def _as_it_stands(person: Person, row: DaySet) -> TodaysSet:
    shelf = {recipe.name: recipe for recipe in recipes()}
    graded: dict[str, list[UUID]] = {}
    drills = own(Attempt.objects.filter(mode=Attempt.Mode.DRILL, void__isnull=True), person)
    since = {pick["recipe"]: _since(pick, row) for pick in row.picks}
    done = drills.filter(answer__received_at__gte=min(since.values(), default=row.made_at), recipe__in=since)
    for name, attempt, at in done.order_by("answer__received_at").values_list("recipe", "pk", "answer__received_at"):
        if at >= since[name]:
            graded.setdefault(name, []).append(attempt)
    minutes = _minutes(person, {shelf[pick["recipe"]].kind for pick in row.picks if pick["recipe"] in shelf})
    out: list[Drill] = []
    for pick in row.picks:
        recipe = shelf.get(pick["recipe"])
        if recipe is not None:
            ticks = graded.get(recipe.name)
            tick = ticks.pop(0) if ticks else None
            out.append(Drill(len(out) + 1, recipe, pick["words"], minutes[recipe.kind], tick))
    return TodaysSet(tuple(out))


def _since(pick: dict[str, Any], row: DaySet) -> datetime:
    """From when on a case counts for a drill of the set."""
    return datetime.fromisoformat(pick["since"]) if "since" in pick else row.made_at


def _minutes(person: Person, kinds: set[str]) -> dict[str, float]:
    """How long a case of each kind takes this person, where that is known."""
    taken: dict[str, list[float]] = {}
    rows = own(Attempt.objects.filter(kind__in=kinds, answer__grade__isnull=False), person)
    newest = rows.order_by("-answer__received_at").values_list("kind", *TIMES)
    for name, *times in newest[:200]:
        seconds = seconds_taken(*times)
        if seconds is not None:
            taken.setdefault(name, []).append(seconds)
    return {
        name: median(taken[name]) / 60.0 if len(taken.get(name, ())) >= OWN_TIME_FROM else MINUTES_PER_CASE
        for name in kinds
    }


__all__ = ["Drill", "TodaysSet", "todays_set"]
