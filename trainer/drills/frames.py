"""A case that is looked at: its frames, its choices, and its answer from a form. Public parts alone."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from scoring.drill import AnswerError
from scoring.kinds import LOOKED_AT
from trainer.drills.looking import address_of, clean_heading
from trainer.drills.models import Attempt

SPOTS_MAX = 8
"""Rows for marked spots where no script adds any."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose from a few: its field, what is asked, and (value, words) of each."""

    name: str
    legend: str
    options: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class FrameCase:
    """An attempt whose case is one or more frames."""

    kind: str
    frames: tuple[dict[str, Any], ...]
    """name, title and what ("frame" or "heading") of each picture that may be seen before the grade."""
    choices: tuple[Choice, ...]
    spots_most: int
    """So many spots may be marked; 0 when none are asked for."""
    clock_s: int
    """Seconds of the clock that a person may switch on; 0 for none."""
    skills: tuple[str, ...]

    @classmethod
    def of(cls, attempt: Attempt) -> FrameCase:
        """The case of an attempt, from its public part (skills: from its grade's evidence, once there)."""
        public, asks = attempt.public, attempt.public["asks"]
        stored = getattr(attempt, "answer", None)
        skills = tuple(e["skill"] for e in stored.grade.body["evidence"]) if stored else ()
        return cls(
            kind=attempt.kind,
            frames=tuple(public["frames"]),
            choices=tuple(
                Choice(one["name"], one["legend"], tuple((value, words) for value, words in one["options"]))
                for one in asks.get("choices", ())
            ),
            spots_most=int(asks.get("spots_most", 0)),
            clock_s=int(asks.get("clock_s", 0)),
            skills=skills,
        )

    @property
    def rows(self) -> range:
        """Numbers of the rows for spots."""
        return range(1, min(self.spots_most, SPOTS_MAX) + 1)

    def answer_of(self, fields: QueryDict) -> dict[str, Any]:
        """The answer's JSON from a form. Raises AnswerError, naming the row, for what is no number."""
        body: dict[str, Any] = {choice.name: fields.get(choice.name, "") for choice in self.choices}
        if self.spots_most:
            body["spots"] = [spot for row in self.rows if (spot := _spot(row, fields)) is not None]
        return body

    def said(self, body: dict[str, Any]) -> list[tuple[str, str]]:
        """What an answer chose, in words: (what was asked, what was said)."""
        return [
            (choice.legend, dict(choice.options).get(str(body.get(choice.name)), "nothing")) for choice in self.choices
        ]


def open_view(attempt: Attempt, case: FrameCase) -> dict[str, Any]:
    """What the view of an open attempt is made of: its public frames, and nothing to point at."""
    return {
        "id": "view",
        "pictures": [_picture(attempt, frame) for frame in case.frames],
        "compare": "",
        "spots": [],
        "spots_most": case.spots_most,
    }


def seams_deg(headings: int) -> list[int]:
    """Where the seams of a spin lie in its frame: half-way between headings, the first of which is in the middle."""
    step = 360.0 / headings
    return sorted(round((step * (i + 0.5) + 180.0) % 360.0 - 180.0) for i in range(headings))


def graded_view(attempt: Attempt, case: FrameCase, grade: dict[str, Any]) -> dict[str, Any]:
    """What the view of a graded attempt is made of: its frames, the clean one to compare with, and what was found."""
    clean = [{"name": "clean", "what": "frame", "title": "Clean, same spot"}]
    headings = [
        {"name": clean_heading(frame["name"]), "what": "heading", "title": "The same heading, clean"}
        for frame in case.frames
        if frame["what"] == "heading"
    ]
    merged = [{"name": "frame", "what": "frame", "title": "The merged frame"}] if headings else []
    frames = [*case.frames, *headings, *merged, *clean]
    return {
        "id": "view",
        "pictures": [_picture(attempt, frame) for frame in frames],
        "compare": "clean",
        "spots": grade["spots"],
        "spots_most": 0,
        "start": _worst(grade["spots"]),
    }


def _worst(spots: list[dict[str, Any]]) -> dict[str, str] | None:
    """Where a graded view begins: at the worst place, framed; None when there is none. Figures as attributes."""
    for spot in spots:
        if spot["role"] == "evidence":
            angle = min(90.0, max(40.0, 3.0 * spot["width_deg"], 3.0 * spot["height_deg"]))
            return {"azimuth": str(spot["azimuth_deg"]), "elevation": str(spot["elevation_deg"]), "angle": str(angle)}
    return None


def _picture(attempt: Attempt, frame: dict[str, Any]) -> dict[str, Any]:
    return {**frame, "address": address_of(attempt, frame["name"])}


def sorted_marks(marks: list[dict[str, Any]]) -> dict[str, list[tuple[int, dict[str, Any]]]]:
    """The marks with their numbers: weighed ones, advice (the first fix, what it is not), and measured numbers."""
    numbered = list(enumerate(marks, 1))
    told = [pair for pair in numbered if not pair[1]["weight"]]
    return {
        "weighed": [pair for pair in numbered if pair[1]["weight"]],
        "advice": [pair for pair in told if pair[1]["value"] is None],
        "numbers": [pair for pair in told if pair[1]["value"] is not None],
    }


def looked_at(kind: str) -> bool:
    """Whether cases of that kind are looked at, rather than drawn on a plan."""
    return kind in LOOKED_AT


def is_frame_case(attempt: Attempt) -> bool:
    """Whether the case is looked at, rather than drawn on a plan."""
    return "frames" in attempt.public


def _spot(row: int, fields: QueryDict) -> dict[str, float] | None:
    azimuth, elevation = fields.get(f"azimuth-{row}", "").strip(), fields.get(f"elevation-{row}", "").strip()
    if not azimuth and not elevation:
        return None
    if not azimuth or not elevation:
        raise AnswerError(f"Spot {row} has one figure only: fill in azimuth and elevation, or neither.")
    return {"azimuth_deg": _degrees(azimuth, row), "elevation_deg": _degrees(elevation, row)}


def _degrees(text: str, row: int) -> float:
    try:
        value = float(text.replace(",", ".").replace("\u2212", "-").removesuffix("°"))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise AnswerError(f"Spot {row}: {text[:20]!r} is not a number of degrees.")
    return value


__all__ = [
    "SPOTS_MAX",
    "Choice",
    "FrameCase",
    "graded_view",
    "is_frame_case",
    "looked_at",
    "open_view",
    "seams_deg",
    "sorted_marks",
]
