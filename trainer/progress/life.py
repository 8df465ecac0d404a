"""The life of a person as events in order: what the ledger was folded to, and what trainers entered."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from datetime import datetime
from operator import itemgetter
from uuid import UUID

from scoring.mastery.readiness import Rule
from trainer.drills.models import Entry
from trainer.library.skills import skill_map
from trainer.progress.models import Evidence, Judgement
from trainer.progress.standing import cases_of, standard_set
from trainer.progress.tally import Changed, Event, Ground, Judged, Listed, Practised, Shoot, Star, Tally, Undone
from trainer.roster.models import KitChange, KitCheck, ObservedShoot

CONDUCT = "G"
"""The group of the skills of conduct."""


def ground(rule: Rule) -> Ground:
    """A rule with the standard set and the starred skills in force."""
    stars = tuple(
        Star(code, frozenset(skill.get("kit_parts", ())), code.startswith(CONDUCT))
        for code, skill in sorted(skill_map().items())
        if skill["star"]
    )
    return Ground(rule, standard_set(), stars)


def life_of(person: UUID) -> list[Event]:
    """All events of one person that stand, in order of their days; what is graded keeps the order of the ledger."""
    ledger: list[tuple[datetime, int, int, Event]] = []
    latest: datetime | None = None
    graded: Iterator[tuple[int, datetime, Practised | Judged]]
    graded = heapq.merge(_practised(person), _judged(person), key=itemgetter(0))
    for number, at, event in graded:
        latest = at if latest is None else max(latest, at)
        ledger.append((latest, 0, number, _moved(event, latest)))
    rows = [*ledger, *_voided(person), *_entered(person)]
    rows.sort(key=lambda row: row[:3])
    return [row[3] for row in rows]


def _moved(event: Practised | Judged, at: datetime) -> Event:
    """The event with the moment from which it counts: never before the one that came before it in the ledger."""
    if isinstance(event, Practised):
        return Practised(event.entry, at, event.answered)
    return Judged(event.entry, at, event.faulty, event.redone)


def _practised(person: UUID) -> Iterator[tuple[int, datetime, Practised]]:
    for case in cases_of(Evidence.objects.filter(person_id=person)):
        for piece in case.pieces:
            yield case.entry, case.at, Practised(case.entry, case.at, piece)


def _judged(person: UUID) -> Iterator[tuple[int, datetime, Judged]]:
    rows = Judgement.objects.filter(person_id=person).order_by("entry")
    for entry, at, faulty, redone in rows.values_list("entry", "at", "faulty", "redone"):
        yield entry, at, Judged(entry, at, faulty, redone)


def _voided(person: UUID) -> Iterator[tuple[datetime, int, int, Event]]:
    rows = Entry.objects.filter(what=Entry.What.VOID, attempt__person_id=person)
    for number, at in rows.order_by("pk").values_list("pk", "made_at"):
        yield at, 1, number, Undone(at)


def _entered(person: UUID) -> Iterator[tuple[datetime, int, int, Event]]:
    shoots = ObservedShoot.objects.filter(person_id=person).select_related("struck").order_by("made_at", "pk")
    for number, shoot in enumerate(shoots):
        struck = getattr(shoot, "struck", None)
        if struck is not None:
            yield shoot.made_at, 2, number, Undone(shoot.made_at)
            yield struck.made_at, 2, number, Undone(struck.made_at)
        else:
            done = frozenset(code for code, seen in shoot.seen.items() if seen == ObservedShoot.Seen.DONE)
            yield shoot.made_at, 2, number, Shoot(shoot.made_at, shoot.shot_on, shoot.signed, done)
    changes = KitChange.objects.filter(person_id=person).order_by("made_at", "pk")
    for number, change in enumerate(changes):
        yield change.made_at, 3, number, Changed(change.made_at, frozenset(change.parts), change.pk)
    lists = KitCheck.objects.filter(change__person_id=person).order_by("made_at", "pk")
    for number, signed in enumerate(lists):
        yield signed.made_at, 4, number, Listed(signed.made_at, signed.change_id)


def tallied(person: UUID, rule: Rule) -> Tally:
    """All that is known of one person, without telling any state."""
    tally = Tally.empty(ground(rule))
    for event in life_of(person):
        tally.add(event)
    return tally


__all__ = ["ground", "life_of", "tallied"]
