"""The contract: recipe and seed make a task, task and answer make a grade, a grade carries evidence.

    recipe + plan + kit + standard + seed  --make-->  task (public | key)
    task + answer + standard               --grade->  grade (credit, marks, evidence)

Both are pure. Everything in a task, an answer and a grade is JSON, so that it can be stored as it was and
computed again years later.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal, Protocol

from pydantic import Field
from pydantic.dataclasses import dataclass as border_dataclass

from scoring.standard import BORDER, Slug, Standard, Words

if TYPE_CHECKING:
    from scoring.floor.plan import Plan
    from scoring.rig.kit import Kit

Json = Any
"""A JSON value: None, bool, int, float, str, list or dict of the same."""

Mode = Literal["try", "drill", "check"]
KindName = Literal[
    "place", "join", "thin", "stand", "threshold", "verdict", "cause", "cue", "pair", "change", "heading"
]
SkillCode = Annotated[str, Field(pattern=r"^[A-EVG][1-6]$")]


class Unfit(Exception):
    """This seed makes a variation that is ambiguous or unusable; the reason is for the log, not for people."""


class AnswerError(ValueError):
    """An answer that cannot be read; the message is for the person, and says where."""


@border_dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Recipe:
    """One file of scenarios/drills, or one authored on the site: what to ask, where, with which kit."""

    format: Literal["levelhead-recipe"]
    version: Literal[1]
    name: Slug
    kind: KindName
    title: Words
    task: Words
    """What the person is asked to do, in the second person, one or two sentences."""
    floor: Slug
    kit: Slug
    skills: Annotated[tuple[SkillCode, ...], Field(min_length=1, max_length=4)]
    settings: dict[str, str | float | bool | list[str]] = Field(default_factory=dict)
    """Read and checked by the kind."""


@dataclass(frozen=True, slots=True)
class Task:
    """One issued case: what the browser may see, and the key that it may not."""

    kind: KindName
    recipe: str
    recipe_hash: str
    """Of recipe, plan and kit together."""
    standard: str
    """Version of the house standard its reference was made for."""
    seed: int
    engine: str
    public: dict[str, Json]
    key: dict[str, Json]
    difficulty_logit: float
    difficulty_sd: float
    """Prior standard deviation of the difficulty."""
    guess_floor: float
    """Expected credit of the best blind strategy, 0..1."""
    fingerprint: str
    """Equal for variations that a person would take for the same case (turned or mirrored ones)."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One thing to draw on the plan with a mark.

    ``role`` names its meaning, and so its look: seen-once, seen-twice, unseen, link, link-blocked, link-narrow,
    link-long, island, spare, missing, reference, reference-link, near, reason, stand-allowed, stand-refused.
    """

    role: str
    form: Literal["point", "line", "area"]
    level: int
    at: list[Json]
    """point: [x, y]; line: [[x, y], ...]; area: [ring, hole, ...] with rings of [x, y]."""
    label: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """One region of a frame to point at: a box on the sphere, as a person sees it.

    ``role`` names its meaning, and so its look: answered, evidence, worst, seam, haze, clipped, missing, horizon.
    """

    role: str
    frame: str
    """Which picture of the case: "frame", "clean", "before", "after", "heading-1"."""
    azimuth_deg: float
    """Of its middle, growing to the right from the middle of the frame, -180..180."""
    elevation_deg: float
    width_deg: float
    """Of azimuth."""
    height_deg: float
    label: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """One criterion of a grade: its number, its words, its geometry."""

    criterion: str
    title: str
    credit: float
    """0..1."""
    weight: float
    """Share of this criterion in the whole credit."""
    value: float | None
    limit: float | None
    unit: str
    """"m", "m²", "%", "" (a count); percentages are 0..100 in value and limit."""
    words: str
    """What was found: plain, no blame, one idea, naming a room, station or link of this case."""
    mend: str
    """The smallest change that would mend it; empty when nothing has to be mended."""
    shapes: tuple[Shape, ...] = ()
    firm: bool = True
    """False when the verdict hangs on less than the placement error; the better one was credited."""
    spots: tuple[Spot, ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a grade says about one skill."""

    skill: str
    credit: float
    difficulty_logit: float
    difficulty_sd: float
    guess_floor: float


@dataclass(frozen=True, slots=True)
class Grade:
    """What an answer is worth: the weighted credit of its marks, with all that was computed."""

    credit: float
    verdict: Literal["holds", "look-again", "fails"]
    summary: str
    marks: tuple[Mark, ...]
    evidence: tuple[Evidence, ...]
    shapes: tuple[Shape, ...]
    """The picture of the whole: seen and unseen floor, links, the reference."""
    spots: tuple[Spot, ...] = ()
    """What to point at in the frames of the case, all marks together."""


class Kind(Protocol):
    """One kind of drill. Every kind is a module of scoring.kinds with these names at its top level."""

    NAME: KindName
    TITLE: str
    SKILLS: tuple[str, ...]

    def make(self, recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
        """Make the variation of that seed. Raises Unfit when the seed makes none that is fair."""

    def grade(self, task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
        """Grade an answer. Raises AnswerError when it cannot be read."""


def canonical_json(value: Json) -> str:
    """JSON of one spelling: sorted keys, no spaces, finite numbers only (ValueError otherwise)."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def content_hash(value: Json) -> str:
    """SHA-256 of the canonical JSON, in hex: the address of a content."""
    return hashlib.sha256(canonical_json(value).encode()).hexdigest()


__all__ = [
    "AnswerError", "Evidence", "Grade", "Json", "Kind", "KindName", "Mark", "Mode", "Recipe", "Shape", "SkillCode",
    "Spot", "Task", "Unfit", "canonical_json", "content_hash",
]  # fmt: skip
