"""What a reshoot went with: the faults of the catalogue, a skill that was not done, or something else.

Which skill prevents which fault: common practice, no source; it only says where drills weigh more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from scoring.frame.faults import FAULTS
from trainer.library.skills import skill_map

OTHER = "other"

Kind = Literal["fault", "skill", "other"]

_PREVENTED_BY: dict[str, tuple[str, ...]] = {
    "F1": ("B1",), "F2": ("B1",), "F3": ("B2",), "F4": ("A2",), "F5": ("A1",), "F6": ("A1",), "F7": ("A1",),
    "F8": ("A3",), "F9": ("B3",), "F10": ("B4",), "F11": ("B4",), "F12": ("C3",), "F13": ("V1",),
    "F14": ("C1", "C2"), "F15": ("C1", "C4"), "F16": ("V1",), "F17": ("C2",), "F18": ("C3",), "F19": ("A1", "E3"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that a reshoot can go with."""

    code: str
    words: str
    kind: Kind
    skills: tuple[str, ...]
    """Skills that prevent it; none for something else."""


@cache
def causes() -> dict[str, Cause]:
    """Every cause by its code: faults, then skills in the order of the map, then something else."""
    faults = [Cause(code, _started(FAULTS[code].title), "fault", skills) for code, skills in _PREVENTED_BY.items()]
    skills = [Cause(code, f"Not done: {skill['name']}", "skill", (code,)) for code, skill in skill_map().items()]
    return {cause.code: cause for cause in [*faults, *skills, Cause(OTHER, "Something else", "other", ())]}


def cause_words(code: str) -> str:
    """A cause in words; the code itself where the list does not have it any more."""
    found = causes().get(code)
    return found.words if found else code


@cache
def _named() -> dict[str, str]:
    names = {cause.words.casefold(): code for code, cause in causes().items()}
    names |= {skill["name"].casefold(): code for code, skill in skill_map().items()}
    return names | {code.casefold(): code for code in causes()}


def cause_named(text: str) -> str | None:
    """The code of a cause that is given by its words or its code, in capitals or not; None for no such cause."""
    return _named().get(" ".join(text.split()).casefold())


def skills_of_causes() -> dict[str, tuple[str, ...]]:
    """For each cause the skills that prevent it."""
    return {code: cause.skills for code, cause in causes().items()}


def _started(words: str) -> str:
    return words[:1].upper() + words[1:]


__all__ = ["OTHER", "Cause", "cause_named", "cause_words", "causes", "skills_of_causes"]
