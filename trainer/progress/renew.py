"""Keeping standings fresh: what is older than its evidence, the trainers' entries or the rule is told again.

    evidence, shoots, kit changes  --fold (history)-->  Standing, one row a person

Most of the time only the last day is told again; a void, a struck entry, another rule, set or population tells the
whole life anew.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from functools import cache
from operator import itemgetter
from typing import Any
from uuid import UUID

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from scoring.mastery.ahead import more_cases, more_overall
from scoring.mastery.decision import call
from scoring.mastery.readiness import State
from trainer.library.rules import SITE_RULE, own_rules, rules_for
from trainer.people.models import Person
from trainer.progress.ended import as_stored, ended, from_stored
from trainer.progress.history import History, Memory, Told, fold, sinking_days
from trainer.progress.life import ground, life_of
from trainer.progress.models import Standing
from trainer.progress.tally import Event, Ground, Practised, Tally, dawn
from trainer.roster.models import KitChange, KitCheck, ObservedShoot, Struck

HEAVY = ("causes", "gaps", "later", "skills")
"""Columns that take long to read; read when they are asked for."""
LIGHT = tuple(
    field.attname for field in Standing._meta.concrete_fields if field.attname not in HEAVY and not field.primary_key
)


TOLD_BY = ("rule", "set_version", "population")
"""Columns that name the versions a standing was told by, in the order of `Ground.versions`."""
_MADE_OF = itemgetter(*(LIGHT.index(name) for name in ("made_to", "made_voids", "entered", *TOLD_BY)))
_FOLDED = itemgetter(LIGHT.index("folded"), LIGHT.index("voids"))
_FOLDED_AT = LIGHT.index("folded")
_ENTRIES: tuple[tuple[QuerySet[Any], str], ...] = (
    (ObservedShoot.objects.all(), "person"),
    (KitChange.objects.all(), "person"),
    (KitCheck.objects.all(), "change__person"),
    (Struck.objects.all(), "shoot__person"),
)
"""What trainers enter about people, and by which column a row is about a person."""


def as_new(
    people: QuerySet[Person], on_day: date, *beside: str
) -> dict[UUID, tuple[tuple[Any, ...], tuple[Any, ...] | None]]:
    """Of each of these people the columns named, and the `LIGHT` columns of the standing, stored or blank.

    None for a standing that `fresh` would not leave as it is. Boards ask for thousands of people, of whom few have
    moved: one query and rows are a good deal cheaper than several and objects.
    """
    own = own_rules(people, on_day)
    grounds = {rule: ground(rule) for rule in {SITE_RULE, *own.values()}}
    blank = {rule: light_of(Standing(rule=rule.version, **_blank(on))) for rule, on in grounds.items()}
    lights = tuple(f"standing__{name}" for name in LIGHT)
    counted = people.annotate(**{f"entries_{at}": _count_of(*rows) for at, rows in enumerate(_ENTRIES)})
    counts = tuple(f"entries_{at}" for at in range(len(_ENTRIES)))
    out: dict[UUID, tuple[tuple[Any, ...], tuple[Any, ...] | None]] = {}
    light_at, counts_at = 1 + len(beside), 1 + len(beside) + len(lights)
    for row in counted.values_list("pk", *beside, *lights, *counts):
        person, light, entered = row[0], row[light_at:counts_at], sum(row[counts_at:])
        rule = own.get(person, SITE_RULE)
        found: tuple[Any, ...] | None = light
        if light[_FOLDED_AT] is None:
            found = None if entered else blank[rule]
        elif _stale(light, entered, grounds[rule]):
            found = None
        out[person] = row[1:light_at], found
    return out


def light_of(row: Standing) -> tuple[Any, ...]:
    """The `LIGHT` columns of a standing."""
    return tuple(getattr(row, name) for name in LIGHT)


def fresh(people: QuerySet[Person], on_day: date, *, store: bool = True) -> dict[UUID, Standing]:
    """The standings of these people by the rules in force on a day, each as new as what it rests on.

    With another rule the whole life is told again, as if that rule had always held. Whoever looks ahead stores nothing:
    a rule may be in force then that is not in force now.
    """
    rows = {row.pk: row for row in Standing.objects.filter(person__in=people).defer(*HEAVY)}
    entered = _entered(people)
    rules = rules_for(people, on_day)
    grounds = {rule: ground(rule) for rule in set(rules.values())}
    for person, rule in rules.items():
        row, on = rows.get(person), grounds[rule]
        if row is None and person not in entered:
            rows[person] = Standing(person_id=person, rule=rule.version, **_blank(on))
        elif row is None or _stale(light_of(row), entered.get(person, 0), on):
            rows[person] = _renewed(row or Standing(person_id=person), entered.get(person, 0), on, store)
    return rows


def _entered(people: QuerySet[Person]) -> dict[UUID, int]:
    """How many entries of trainers each of them has, where there is any; entries are only ever added."""
    out: dict[UUID, int] = {}
    for rows, whose in _ENTRIES:
        for person, count in rows.filter(**{f"{whose}__in": people}).values_list(whose).annotate(Count("pk")):
            out[person] = out.get(person, 0) + count
    return out


def _count_of(rows: QuerySet[Any], whose: str) -> Coalesce:
    of_one = rows.filter(**{whose: OuterRef("pk")}).order_by().values(whose).annotate(number=Count("pk"))
    return Coalesce(Subquery(of_one.values("number")), 0)


def _stale(light: tuple[Any, ...], entered: int, on: Ground) -> bool:
    made_of: tuple[Any, ...] = _MADE_OF(light)
    return made_of != (*_FOLDED(light), entered, *on.versions)


def _renewed(row: Standing, entered: int, on: Ground, store: bool) -> Standing:
    """Tell one person again."""
    events = life_of(row.person_id)
    fields = _blank(on) if not events else told_fields(_told(row, entered, on, events), on)
    row.made_to, row.made_voids, row.entered = row.folded, row.voids, entered
    row.rule, row.set_version, row.population = on.versions
    for name, value in fields.items():
        setattr(row, name, value)
    if events and store:
        Standing.objects.get_or_create(person_id=row.person_id)
        row._state.adding = False
        # ``folded`` and ``voids`` belong to whoever folds the ledger, perhaps at this moment.
        row.save(update_fields=[*fields, "made_to", "made_voids", "entered", *TOLD_BY])
    return row


def _told(row: Standing, entered: int, on: Ground, events: list[Event]) -> History:
    same = (row.made_voids, row.entered, row.rule, row.set_version, row.population)
    if row.day is None or same != (row.voids, entered, *on.versions):
        return fold(events, on)
    newer = (event for event in events if isinstance(event, Practised) and event.entry > row.made_to)
    if any(event.at.astimezone(UTC).date() < row.day for event in newer):
        return fold(events, on)
    # Reading a heavy column asks the database again, so only for those who need it.
    causes = from_stored(row.causes["before"]) if row.before in {"due", "lapsed"} else ()
    return fold(events, on, Memory(row.day, Told(row.before, row.before_since, causes)))  # type: ignore[arg-type]


@cache
def _blank(on: Ground) -> dict[str, Any]:
    """The standing of somebody of whom nothing is known."""
    return told_fields(fold((), on), on)


def told_fields(history: History, on: Ground) -> dict[str, Any]:
    """The columns that a history comes to."""
    rule, standard, tally = on.rule, on.standard, history.tally
    found = tally.figures(history.moment)
    due_on, lapsed_on = sinking_days(history)
    days: dict[State, date | None] = {"due": due_on, "lapsed": lapsed_on}
    sinking = {name: day for name, day in days.items() if day is not None}
    said = {"ready_at": rule.ready_chance, "not_ready_at": rule.not_ready_chance}
    skills: dict[str, Any] = {}
    for code, figure in found.skills.items():
        word = call(figure.chance, **said)
        more: int | None = 0
        if word == "not enough evidence":
            more = more_cases(tally.belief, standard, code, on_day=history.moment, cut=rule.cut_points, **said)
        newest = tally.star_newest.get(code)
        skills[code] = {
            "score": figure.score, "low": figure.low, "high": figure.high, "chance": figure.chance,
            "count": figure.count, "counted": tally.star_counts.get(code, 0), "right": tally.credit_sums.get(code, 0.0),
            "call": word, "more": more, "newest": None if newest is None else _date(newest).isoformat(),
        }  # fmt: skip
    for star in on.stars:
        if star not in on.drilled:
            shown = tally.shoot is not None and star.code in tally.shoot.done
            skills[star.code] = {"shown": shown}
    return {
        "day": history.day,
        "state": history.told.state,
        "since": history.told.since,
        "before": history.before.state,
        "before_since": history.before.since,
        "score": found.overall.score,
        "low": found.overall.low,
        "high": found.overall.high,
        "chance": found.overall.chance,
        "n": tally.count,
        "due_on": due_on,
        "lapsed_on": lapsed_on,
        "gaps": _gaps(tally.gaps(history.moment)),
        "later": {name: _later(tally, day) for name, day in sinking.items()},
        "causes": {
            "told": as_stored(history.told.causes),
            "before": as_stored(history.before.causes),
            **{name: as_stored(ended(tally, dawn(day), name)) for name, day in sinking.items()},
        },
        "skills": skills,
        "more": _more(tally, history.moment),
    }


def _more(tally: Tally, moment: float) -> int | None:
    rule, standard = tally.ground.rule, tally.ground.standard
    return more_overall(tally.belief, standard, on_day=moment, cut=rule.cut_points, ready_at=rule.ready_chance)


def _later(tally: Tally, day: date) -> list[dict[str, Any]]:
    """What will be missing on a day. What the score is then, and takes, is told with it: it will have faded."""
    moment = dawn(day)
    found = _gaps(tally.gaps(moment))
    for gap in found:
        if gap["what"] == "overall":
            overall = tally.figures(moment).overall
            gap |= {"more": _more(tally, moment), "score": overall.score, "low": overall.low, "on": day.isoformat()}
    return found


def _gaps(found: Iterable[Any]) -> list[dict[str, Any]]:
    return [asdict(gap) for gap in found]


def _date(day: float) -> date:
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(days=day)).date()


__all__ = ["HEAVY", "LIGHT", "as_new", "fresh", "light_of", "told_fields"]
