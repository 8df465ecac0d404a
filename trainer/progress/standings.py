"""Where people stand now: what boards, roster pages and one's own record read.

Standing (stored, renewed when it is old) + today's date + the decisions of named persons  -->  Now
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from scoring.mastery.decision import Call
from scoring.mastery.readiness import State
from trainer.library.rules import rule_named
from trainer.library.skills import skill_map, skill_name
from trainer.people.access import Visitor, entered_for, lasting, of_present_firms
from trainer.people.models import Person, Role
from trainer.progress.ended import Cause, from_stored
from trainer.progress.ended_words import ended_line, ended_words
from trainer.progress.history import Told, state_on
from trainer.progress.life import tallied
from trainer.progress.models import Standing
from trainer.progress.renew import as_new, fresh, light_of
from trainer.progress.tally import dawn
from trainer.progress.why import GapWords, missing, why
from trainer.roster.decide import stands
from trainer.roster.models import Decision, KitChange


@dataclass(frozen=True, slots=True)
class StarNow:
    """One starred skill of one person."""

    name: str
    call: Call
    count: int
    """Graded cases that count for it: those since the kit changed, where it did."""
    right: float
    """Sum of credits of all graded cases."""
    score: float
    low: float
    high: float
    more: int | None
    """About so many more cases settle it four times of five; None when no number is known to, or only a shoot can."""
    newest_on: date | None
    by_shoot: bool
    """No drill practises it: a signed shoot has to show it."""


@dataclass(frozen=True, slots=True)
class Now:
    """One person today."""

    person_id: UUID
    name: str
    state: State
    since: date | None
    score: float
    low: float
    high: float
    chance: float
    count: int
    stars: dict[str, StarNow]
    due_on: date | None
    lapsed_on: date | None
    gaps: tuple[GapWords, ...]
    why: str
    """Why in this state, where nothing ended, and the shortest way to ready: a sentence or two."""
    sent_until: date | None
    """The last day of "send anyway", where a named person said so."""
    held_reason: str
    kit: str
    teams: tuple[str, ...]
    region: str
    figured_on: date | None = None
    """The last day with a case or an entry, on which the figures stand; None when nothing was graded."""
    ended: str = ""
    """What ended a state of ready, in a sentence; empty for whoever is neither due nor lapsed."""
    ended_line: str = ""
    """The same in a line."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is to be expected of one person on a later day, if nothing more is practised."""

    chance: float
    state: State
    cut: float
    """The score asked for by the rule of that day."""


def now_of(person: Person, now: datetime, visitor: Visitor | None = None) -> Now:
    """One person today."""
    return now_of_many(Person.objects.filter(pk=person.pk), now, visitor)[0]


def now_of_many(people: QuerySet[Person], now: datetime, visitor: Visitor | None = None) -> list[Now]:
    """These people today, in the order of their names; so many queries however many they are.

    With a ``visitor`` only what was decided for the firms that the visitor leads counts; without, what any firm that
    a person works for decided.
    """
    people, today = people.order_by(), now.date()
    decided, changed = Decision.objects.filter(person__in=people), KitChange.objects.filter(person=OuterRef("pk"))
    if visitor is not None:
        decided, changed = entered_for(decided, visitor), entered_for(changed, visitor)
    decisions: dict[Any, list[Decision]] = {}
    for decision in of_present_firms(decided).select_related("by").order_by("made_at", "pk"):
        decisions.setdefault(decision.person_id, []).append(decision)
    teams: dict[Any, list[tuple[str, str]]] = {}
    works = lasting().filter(person__in=people, role=Role.OPERATOR).order_by("team__name")
    for person_id, team, region in works.values_list("person_id", "team__name", "team__region"):
        teams.setdefault(person_id, []).append((team, region))
    newest = Subquery(changed.order_by("-made_at", "-pk").values("kit")[:1])
    stored = as_new(people.annotate(newest_kit=Coalesce(newest, Value(""))), today, "name", "newest_kit")
    found = {
        pk: (name, stands(decisions.get(pk, ()), today), kit, tuple(teams.get(pk, ())), today)
        for pk, ((name, kit), _) in stored.items()
    }
    out = [kept for pk, beside in found.items() if (kept := _kept(pk, stored[pk][1], beside)) is not None]
    new = found.keys() - {one.person_id for one in out}
    if new:
        standings = fresh(people if len(new) == len(found) else Person.objects.filter(pk__in=new), today)
        whole = Standing.objects.in_bulk([pk for pk in new if standings[pk].get_deferred_fields()])
        out += [_keep(whole.get(pk, standings[pk]), found[pk]) for pk in new]
    return sorted(out, key=lambda one: (one.name.casefold(), one.person_id))


Beside = tuple[str, Decision | None, str, tuple[tuple[str, str], ...], date]
"""What a Now rests on beside the stored row: name, the decision that stands, kit, teams, day."""
KEPT_MOST = 20_000
_told: dict[UUID, tuple[Any, Now]] = {}
"""The last Now of each person with all that it was made of: boards ask for thousands, and few of them have changed."""


def _made_of(light: tuple[Any, ...], beside: Beside) -> tuple[Any, ...]:
    decision = beside[1]
    return light, None if decision is None or decision.by is None else decision.by.name, beside


def _kept(person: UUID, light: tuple[Any, ...] | None, beside: Beside) -> Now | None:
    """The Now that was told before from the very same things; None where they are others, or have to be told again."""
    before = _told.get(person)
    return before[1] if light is not None and before is not None and before[0] == _made_of(light, beside) else None


def _keep(row: Standing, beside: Beside) -> Now:
    name, decision, kit, teams, today = beside
    made = _now(row.person_id, name, row, decision, kit, list(teams), today)
    if len(_told) >= KEPT_MOST:
        _told.clear()
    _told[row.person_id] = _made_of(light_of(row), beside), made
    return made


def _now(
    person: UUID,
    name: str,
    row: Standing,
    decision: Decision | None,
    kit: str,
    teams: list[tuple[str, str]],
    today: date,
) -> Now:
    told = state_on(Told(row.state, row.since), row.due_on, row.lapsed_on, today)  # type: ignore[arg-type]
    gaps, rule = missing(row, told.state, today), rule_named(row.rule)
    causes = _causes(row, told)
    ended, line = ended_words(causes, told.state, told.since, rule), ended_line(causes, rule)
    held, sent_until = "", None
    if decision is not None and decision.what == Decision.What.HOLD:
        held, told = decision.reason, Told("held", decision.made_at.date())
        ended = line = ""
    if decision is not None and decision.what == Decision.What.SEND:
        sent_until = decision.until
    return Now(
        person_id=person,
        name=name,
        state=told.state,
        since=told.since,
        score=row.score,
        low=row.low,
        high=row.high,
        chance=row.chance,
        count=row.n,
        stars=stars_of(row),
        due_on=row.due_on if told.state == "ready" else None,
        lapsed_on=row.lapsed_on if told.state in {"ready", "due"} else None,
        gaps=gaps,
        why=why(told.state, told.since, gaps, row.due_on, decision if held else None),
        sent_until=sent_until,
        held_reason=held,
        kit=kit,
        teams=tuple(team for team, _ in teams),
        region=next((region for _, region in teams if region), ""),
        figured_on=row.day if row.n else None,
        ended=ended,
        ended_line=line,
    )


def _causes(row: Standing, told: Told) -> tuple[Cause, ...]:
    """What ended ready, by the state that a stored standing comes to today."""
    if told.state not in {"due", "lapsed"}:
        return ()
    return from_stored(row.causes["told" if told.state == row.state else told.state])


def stars_of(row: Standing) -> dict[str, StarNow]:
    """The starred skills of a stored standing, in the order of the map."""
    out, asked = {}, rule_named(row.rule).star_count
    for code, skill in sorted(skill_map().items()):
        kept = row.skills.get(code)
        if not skill["star"] or kept is None:
            continue
        if "shown" in kept:
            said: Call = "ready" if kept["shown"] else "not enough evidence"
            out[code] = StarNow(skill_name(code), said, 0, 0.0, 0.0, 0.0, 100.0, None, None, True)
            continue
        newest = kept["newest"]
        call = kept["call"]
        more = kept["more"]
        if kept["counted"] < asked:
            # The rule asks for so many, whatever they say; what the other skills make likely is no word about this one.
            call = "not enough evidence" if call == "ready" or not kept["count"] else call
            more = max(more or 0, asked - kept["counted"]) if call == "not enough evidence" else more
        out[code] = StarNow(
            skill_name(code), call, kept["counted"], kept["right"], kept["score"], kept["low"], kept["high"],
            more, None if newest is None else date.fromisoformat(newest), False,
        )  # fmt: skip
    return out


def forecast(person: Person, on: date) -> Forecast:
    """The chance of being at the cut on a later day, and the state then, if nothing more is practised.

    By the rule that will be in force then.
    """
    return forecast_many([person], on)[person.pk]


def forecast_many(people: Iterable[Person], on: date) -> dict[UUID, Forecast]:
    """Forecasts of several people by their ids; some hundredths of a second for each."""
    out: dict[UUID, Forecast] = {}
    ids = [person.pk for person in people]
    rows = fresh(Person.objects.filter(pk__in=ids), on, store=False)
    for person in ids:
        row = rows[person]
        told = state_on(Told(row.state, row.since), row.due_on, row.lapsed_on, on)  # type: ignore[arg-type]
        chance = row.chance
        if row.day is not None and on > row.day:
            chance = tallied(person, rule_named(row.rule)).figures(dawn(on)).overall.chance
        out[person] = Forecast(chance, told.state, rule_named(row.rule).cut_points)
    return out


__all__ = ["KEPT_MOST", "Forecast", "Now", "StarNow", "forecast", "forecast_many", "now_of", "now_of_many", "stars_of"]
