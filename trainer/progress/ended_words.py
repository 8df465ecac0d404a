"""Why somebody who was ready is due or has lapsed, as a sentence of its own, and in a line for the Team board."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import groupby
from math import floor

from scoring.mastery.readiness import Rule, State
from trainer.library.skills import skill_name
from trainer.progress.ended import Cause

KIND = {"star-count": "kit", "kit-list": "kit"}
"""Causes that are told together."""


def ended_words(causes: Sequence[Cause], state: State, since: date | None, rule: Rule) -> str:
    """The sentence, for due and lapsed; empty where nothing is known to have ended."""
    if not causes or since is None:
        return ""
    told = [_clause(list(some), state, since, rule) for _, some in groupby(causes, key=_kind)]
    return f"Was ready, and {'is due' if state == 'due' else 'has lapsed'} because {'; and because '.join(told)}."


def ended_line(causes: Sequence[Cause], rule: Rule) -> str:
    """The same in few words, as a sentence without its stop; empty where nothing is known to have ended."""
    told = [_line(list(some), rule) for _, some in groupby(causes, key=_kind)]
    return "; ".join((told[0][0].upper() + told[0][1:], *told[1:])) if told else ""


def _kind(cause: Cause) -> str:
    return KIND.get(cause.what, cause.what)


def _clause(some: Sequence[Cause], state: State, since: date, rule: Rule) -> str:
    first = some[0]
    names, cut = _names(some), f"a score of {rule.cut_points:.0f} or more"
    if first.what == "overall":
        limits = f"below {percent(rule.due_chance)} is due, below {percent(rule.lapsed_chance)} lapsed"
        return f"{_fell(first, f'the chance of {cut}', since)}; {limits}, and ready takes {percent(rule.ready_chance)}"
    if first.what == "idle":
        word = "due" if state == "due" else "lapsed"
        return (
            f"no case was graded after {_on(first.before_on)}, and more than {_days(first.asked)} without one is {word}"
        )
    if first.what == "star-not-ready":
        each = (_fell(one, f"the chance of {cut} on {skill_name(one.skill)}", since) for one in some)
        return f"{'; '.join(each)}; {percent(first.asked)} or less is not ready"
    if first.what == "conduct":
        return f"not each of the newest {first.asked:.0f} cases on {names} earned full credit on what must be marked"
    if first.what == "false-alarms":
        return (
            f"of the newest {rule.false_alarms_of} good frames {first.found:.0f} were redone, "
            f"and at most {first.asked:.0f} may be"
        )
    if first.what == "shoot":
        return f"the newest watched shoot did not show {names}" if names else "the newest watched shoot was not signed"
    return _kit(some, since)


def _kit(some: Sequence[Cause], since: date) -> str:
    """A change of kit: the skills that it touched, and its list."""
    skills = [one for one in some if one.what == "star-count"]
    wanted = []
    if skills:
        count = f"{skills[0].asked:.0f} new case{'' if skills[0].asked == 1 else 's'}"
        wanted.append(f"for {count}{' each' if len(skills) > 1 else ''} on {_names(skills)}")
    if len(skills) < len(some):
        wanted.append("for its list to be signed by a trainer")
    parts = sorted({part for one in some for part in one.parts})
    return f"the {_listed(parts) or 'kit'} changed on {_on(since)}, which asks {', and '.join(wanted)}"


def _fell(cause: Cause, chance: str, since: date) -> str:
    """How a chance came below its limit: by days without a case, or by the cases of the day."""
    before, found = percent(cause.before or 0.0), under(cause.found)
    if cause.before_on is not None:
        last = f"{_on(cause.before_on)}, the day of the last case"
        return f"{chance} was {before} on {last}, and had faded to {found} by {_on(since)}"
    return f"{chance} was {before}, and {found} after the cases of {_on(since)}"


def _line(some: Sequence[Cause], rule: Rule) -> str:
    first, names = some[0], _names(some)
    if first.what == "overall":
        how = "after that day’s cases" if first.before_on is None else f"faded since {_short(first.before_on)}"
        return f"chance of {rule.cut_points:.0f} or more {how}: {percent(first.before or 0.0)} to {under(first.found)}"
    if first.what == "idle":
        return f"no case since {_short(first.before_on)}"
    if first.what == "star-not-ready":
        return f"not ready on {names}"
    if first.what == "conduct":
        return f"short of full credit on {names}"
    if first.what == "false-alarms":
        return f"{first.found:.0f} of {rule.false_alarms_of} good frames redone"
    if first.what == "shoot":
        return f"newest shoot did not show {names}" if names else "newest shoot not signed"
    parts = sorted({part for one in some for part in one.parts})
    return f"new {_listed(parts) or 'kit'}"


def _names(some: Iterable[Cause]) -> str:
    return _listed([skill_name(one.skill) for one in some if one.skill])


def _listed(words: Sequence[str]) -> str:
    return " and ".join(words) if len(words) < 3 else f"{', '.join(words[:-1])} and {words[-1]}"


def percent(share: float) -> str:
    """A chance as whole per cent; none is certain."""
    return "over 99\u00a0%" if share > 0.99 else f"{100.0 * share:.0f}\u00a0%"


def under(share: float) -> str:
    """A share that lies below a limit, as whole per cent that do too."""
    return f"{floor(100.0 * share)}\u00a0%"


def _days(days: float) -> str:
    return f"{days:.0f} day{'' if days == 1 else 's'}"


def _on(day: date | None) -> str:
    return "an earlier day" if day is None else f"{day.day} {day:%B %Y}"


def _short(day: date | None) -> str:
    return "an earlier day" if day is None else f"{day.day} {day:%b %Y}"


__all__ = ["ended_line", "ended_words"]
