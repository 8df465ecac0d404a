"""Why somebody is in a state, and the shortest way to ready, in a sentence or two.

What made somebody due, or let a state lapse, has a sentence of its own (ended_words).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from scoring.mastery.readiness import State
from trainer.library.rules import rule_named
from trainer.library.skills import skill_map, skill_name
from trainer.progress.models import Standing
from trainer.roster.models import Decision

MINUTES_PER_CASE = 1.25
"""What a graded case takes with reading its grade; common practice, no source."""
UNSURE_CASES, UNSURE_STAR_CASES = 16, 2
"""To begin with, where no number of cases is promised to be enough: for the score, and on one critical skill."""
NAMED = 2
"""So many skills are named of those that lack the same; the rest are counted."""
NO_PROMISE = "no number of cases is promised"


@dataclass(frozen=True, slots=True)
class GapWords:
    """One thing that is missing for ready, in words."""

    what: str
    skill: str
    """Code of the skill it is about; empty when it is about none."""
    words: str
    """As a part of a sentence: "2 more cases on Level it"."""
    cases: int
    """Graded cases that it takes at least; to begin with, where no number is promised."""
    promised: bool = True
    """Whether so many cases are enough four times of five (scoring/mastery/ahead.py)."""
    asked: float = 0.0
    """The number of the rule that it falls short of."""

    @property
    def minutes(self) -> int:
        """About how long that takes."""
        return minutes(self.cases)


def minutes(cases: int) -> int:
    """About how many minutes so many cases take; full fives from ten on."""
    whole = round(cases * MINUTES_PER_CASE)
    return whole if whole < 10 else 5 * round(whole / 5)


def least_cases(gaps: Iterable[GapWords]) -> int:
    """So many cases close all gaps at least: a case serves every gap that it fits, and any case the overall one."""
    each: dict[str, int] = {}
    overall = 0
    for gap in gaps:
        if gap.what == "overall":
            overall = gap.cases
        else:
            each[gap.skill or gap.what] = max(each.get(gap.skill or gap.what, 0), gap.cases)
    return max(sum(each.values()), overall)


def is_promised(gaps: Iterable[GapWords]) -> bool:
    """Whether the least number of cases closes all gaps four times of five."""
    return all(gap.promised for gap in gaps)


def missing(row: Standing, state: State, today: date) -> tuple[GapWords, ...]:
    """What is missing for ready today: what was missing on the last active day, and what the days since have added."""
    found = list(row.gaps)
    there = {(gap["what"], gap["skill"]) for gap in found}
    if row.day is not None and today > row.day:
        found += [gap for gap in _grown_old(row, today) if not there & {(w, gap["skill"]) for w in ABOUT_A_STAR}]
        faded = [gap for gap in row.later.get(state, ()) if gap["what"] == "overall"]
        if faded:
            found = [*(gap for gap in found if gap["what"] != "overall"), *faded]
    return tuple(_words(gap, row) for gap in found)


ABOUT_A_STAR = ("star-count", "star-old", "star-not-ready")


def _grown_old(row: Standing, today: date) -> list[dict[str, Any]]:
    out, most = [], rule_named(row.rule).star_newest_days
    for code, kept in row.skills.items():
        if kept.get("newest") and code in _starred():
            age = (today - date.fromisoformat(kept["newest"])).days
            if age > most:
                out.append({"what": "star-old", "skill": code, "found": age, "asked": most})
    return out


@cache
def _starred() -> frozenset[str]:
    return frozenset(code for code, skill in skill_map().items() if skill["star"])


def _words(gap: dict[str, Any], row: Standing) -> GapWords:
    what, skill, found, asked = gap["what"], gap["skill"], gap["found"], gap["asked"]
    name = skill_name(skill) if skill else ""
    cases, promised = 0, True
    if what == "star-count":
        cases = int(asked - found)
        words = f"{_cases(cases)} on {name}"
    elif what == "star-old":
        cases, words = 1, f"one new case on {name} (the newest is over {asked:.0f} days old)"
    elif what == "star-not-ready":
        promised = bool(row.skills[skill]["more"])
        cases = row.skills[skill]["more"] or UNSURE_STAR_CASES
        words = f"better cases on {name}"
    elif what == "conduct":
        cases = int(asked - found)
        words = f"{_cases(cases, 'case')} in a row at full credit on {name}"
    elif what == "false-alarms":
        cases = int(found - asked)
        words = f"{'a good frame' if cases == 1 else f'{cases} good frames'} more kept rather than redone"
    elif what == "kit-list":
        words = "the list of the changed parts of the kit gone through with a trainer"
    elif what == "overall":
        more = gap.get("more", row.more)
        cases, promised = more or UNSURE_CASES, bool(more)
        enough = f"about {_cases(cases)} of any skill to be sure of the score (enough four times of five)"
        words = enough if promised else _short_of(gap, row)
    elif skill:
        words = f"a signed shoot that shows {name}"
    else:
        words = "a signed shoot"
    return GapWords(what, skill, words, cases, promised, asked)


def _short_of(gap: dict[str, Any], row: Standing) -> str:
    """The figures of the day on which somebody sank where they did; else those of the last active day."""
    cut, score, low = rule_named(row.rule).cut_points, gap.get("score", row.score), gap.get("low", row.low)
    when = f"on {_on(date.fromisoformat(gap['on']))}" if "on" in gap else "now"
    if score < cut:
        told = f"{score:.0f}" if round(score) < round(cut) else f"just under {cut:.0f}"
        return f"an expected score of {cut:.0f} ({told} {when}; {NO_PROMISE})"
    return f"a surer score (at least {low:.0f} {when}; {NO_PROMISE})"


def _cases(count: int, word: str = "more case") -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def why(
    state: State, since: date | None, gaps: tuple[GapWords, ...], due_on: date | None, hold: Decision | None
) -> str:
    """The sentences; for due and lapsed the way to ready alone."""
    if hold is not None:
        by = hold.by.name if hold.by is not None else "Somebody who has left"
        way = f", and for ready {_listed(gaps)}" if gaps else ""
        return f"{by} said on {_on(hold.made_at.date())}: {hold.reason.rstrip('.')}. A release is needed{way}."
    first = {
        "untried": "Nothing has been graded yet.",
        "in training": "Not everything that the rule asks for is there yet.",
        "ready": f"Everything that the rule asks for held on {_on(since)}.",
    }.get(state, "")
    if state == "ready":
        return f"{first} {f'It stands until {_on(due_on)} without practice.' if due_on else 'It stands.'}"
    way = f"Ready needs {_listed(gaps)}." if gaps else "One graded case brings it up to date."
    return f"{first} {way}".lstrip()


def together(gaps: Iterable[GapWords]) -> list[str]:
    """What is missing in words, where cases that are too old on several skills are one thing."""
    rows = list(gaps)
    old = [gap for gap in rows if gap.what == "star-old"]
    if len(old) < 2:
        return [gap.words for gap in rows]
    names = [skill_name(gap.skill) for gap in old]
    if len(names) > NAMED + 1:
        names = [*names[:NAMED], f"{len(names) - NAMED} more skills"]
    listed = f"{', '.join(names[:-1])} and {names[-1]}"
    whole = f"one new case each on {listed} (the newest are over {old[0].asked:.0f} days old)"
    return [whole if gap is old[0] else gap.words for gap in rows if gap is old[0] or gap not in old]


def _listed(gaps: tuple[GapWords, ...]) -> str:
    told = together(gaps)
    if len(told) > 4:
        told = [*told[:3], f"{len(told) - 3} things more"]
    listed = told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"
    cases = least_cases(gaps)
    if not cases:
        return listed
    about = f"about {minutes(cases)} minutes"
    return f"{listed}; {about}" if is_promised(gaps) else f"{listed}; {about} to begin with"


def _on(day: date | None) -> str:
    return "an earlier day" if day is None else f"{day.day} {day:%B %Y}"


__all__ = [
    "MINUTES_PER_CASE", "UNSURE_CASES", "UNSURE_STAR_CASES", "GapWords", "is_promised", "least_cases", "minutes",
    "missing", "together", "why",
]  # fmt: skip
