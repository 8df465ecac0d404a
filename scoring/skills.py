"""The skill map: what a photographer of 360-degree property tours must be able to do, in plain words.

Codes (A1 .. G3) are for files, code and evidence; pages show names. ``kit_parts`` tells which skills fall due when
that part of the kit is changed. The starred skills are critical: readiness waits for each of them.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, TypeAdapter
from pydantic.dataclasses import dataclass

from scoring.border import read_value
from scoring.drill import SkillCode
from scoring.standard import BORDER, Words

GroupCode = Literal["A", "B", "C", "D", "E", "V", "G"]
KitPart = Literal["tripod", "rotator", "clamp", "phone", "lens", "battery"]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Skill:
    """One thing that a competent operator does, and what shows when it is not done."""

    code: SkillCode
    name: Words
    star: bool
    """Whether failing it blocks readiness."""
    words: Words
    """What a competent operator does."""
    shows: Words
    """What is seen when it is not done."""
    kit_parts: tuple[KitPart, ...] = ()
    """Parts of the kit whose change makes it due."""
    cautions: tuple[Words, ...] = ()

    @property
    def group(self) -> str:
        """Code of its group."""
        return self.code[0]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Group:
    """Skills that belong together, by the first letter of their codes."""

    code: GroupCode
    name: Words


def _distinct(skills: tuple[Skill, ...]) -> tuple[Skill, ...]:
    codes = [skill.code for skill in skills]
    if twice := sorted({code for code in codes if codes.count(code) > 1}):
        raise ValueError(f"these codes stand twice: {', '.join(twice)}")
    return skills


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Skills:
    """All skills, in the order in which they are taught."""

    format: Literal["levelhead-skills"]
    version: Literal[1]
    note: Words
    groups: Annotated[tuple[Group, ...], Field(min_length=1, max_length=7)]
    skills: Annotated[tuple[Skill, ...], Field(min_length=1, max_length=42), AfterValidator(_distinct)]

    def of(self, code: str) -> Skill:
        """The skill of that code; KeyError when there is none."""
        for skill in self.skills:
            if skill.code == code:
                return skill
        raise KeyError(code)


_SKILLS = TypeAdapter(Skills)


def read_skills(data: bytes) -> Skills:
    """The skill map in scenarios/skills.json. Raises FileProblems."""
    return read_value(_SKILLS, data)


__all__ = ["Group", "GroupCode", "KitPart", "Skill", "Skills", "read_skills"]
