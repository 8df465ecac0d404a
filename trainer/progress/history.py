"""The state of one person day by day, as a pure fold over what was graded and what trainers entered.

    events of a life, in order  --tally-->  facts on a day  --rule-->  state, with the state before as its memory

A state is told once for each active day (a UTC day with an event), after the last event of that day; before that, the
state of the day before is let sink to the beginning of this one. A void or a struck entry is taken out of the whole
life, as if it had never been; the day on which that was done counts as active. The same life gives the same
states to the last digit, told from the beginning or from a day on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from scoring.mastery.readiness import State
from trainer.progress.ended import Cause, ended
from trainer.progress.tally import DAY_S, Changed, Event, Ground, Practised, Tally, dawn, day_of


@dataclass(frozen=True, slots=True)
class Told:
    """A state with the day on which it began, and what made it due or let it lapse."""

    state: State
    since: date | None
    causes: tuple[Cause, ...] = ()


@dataclass(frozen=True, slots=True)
class Memory:
    """Where telling may begin: the day that was told last, and the state before it."""

    day: date
    before: Told


@dataclass(frozen=True, slots=True)
class History:
    """What a fold comes to: the last active day, the state then and before, and what it was told from."""

    day: date | None
    before: Told
    told: Told
    tally: Tally
    moment: float
    """Of the last event [days since 1970]."""


def fold(events: Iterable[Event], ground: Ground, memory: Memory | None = None) -> History:
    """Tell a whole life, or from the day of a memory on. ``events`` are in order, days never going back."""
    tally = Tally.empty(ground)
    before = told = Told("untried", None)
    day: date | None = None
    moment = 0.0
    pending: list[Event] = []
    if memory is not None:
        before = told = memory.before

    def close() -> None:
        nonlocal before, told, moment
        assert day is not None
        tell = memory is None or day >= memory.day
        if tell:
            before = told if memory is None or day > memory.day else memory.before
            sunk = _sunk(tally, before, day)
            cases = any(isinstance(event, Practised) for event in pending)
            at_dawn = tally.figures(dawn(day)) if cases and sunk.state in {"ready", "due"} else None
        for event in pending:
            tally.add(event)
        moment = max(moment, day_of(pending[-1].at))
        if tell:
            state = tally.state(moment, sunk.state)
            if state == sunk.state:
                told = sunk
            else:
                changed = {part for event in pending if isinstance(event, Changed) for part in event.parts}
                told = Told(state, day, ended(tally, moment, state, at_dawn=at_dawn, changed=changed))
        pending.clear()

    for event in events:
        on = event.at.astimezone(UTC).date()
        if pending and on != day:
            close()
        day = on
        pending.append(event)
    if pending:
        close()
    return History(day, before, told, tally, moment)


def _sunk(tally: Tally, before: Told, on: date) -> Told:
    """The state before a day, let sink to the beginning of that day."""
    if before.state not in {"ready", "due"} or before.since is None:
        return before
    state = tally.state(dawn(on), before.state)
    if state == before.state:
        return before
    first = first_day(before.since, on, lambda day: tally.state(dawn(day), before.state) == state) or on
    return Told(state, first, ended(tally, dawn(first), state))


def first_day(after: date, upto: date, holds: Callable[[date], bool]) -> date | None:
    """The first day after ``after`` and up to ``upto`` on which something holds that goes on holding; by halving."""
    if upto <= after or not holds(upto):
        return None
    low, high = after, upto
    while (high - low).days > 1:
        middle = low + (high - low) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def sinking_days(history: History) -> tuple[date | None, date | None]:
    """The first days on which somebody who is ready is due, and who is ready or due is lapsed, if nothing happens."""
    tally, state = history.tally, history.told.state
    if history.day is None or state not in {"ready", "due"} or tally.newest is None:
        return None, None
    rule, newest = tally.ground.rule, datetime.fromtimestamp(tally.newest * DAY_S, UTC).date()
    due_most, lapsed_most = (
        newest + timedelta(days=int(days) + 2) for days in (rule.idle_due_days, rule.idle_lapsed_days)
    )
    due = None
    if state == "ready":
        due = first_day(history.day, due_most, lambda day: tally.state(dawn(day), "ready") != "ready")
    lapsed = first_day(history.day, lapsed_most, lambda day: tally.state(dawn(day), "due") == "lapsed")
    return due, lapsed


def state_on(told: Told, due_on: date | None, lapsed_on: date | None, day: date) -> Told:
    """A told state moved on to a later day by the days on which it sinks; without the causes of that day."""
    if lapsed_on is not None and day >= lapsed_on and told.state in {"ready", "due"}:
        return Told("lapsed", lapsed_on)
    if due_on is not None and day >= due_on and told.state == "ready":
        return Told("due", due_on)
    return told


__all__ = ["History", "Memory", "Told", "first_day", "fold", "sinking_days", "state_on"]
