"""How sure a person said to be against what came of it, with a small picture."""

from __future__ import annotations

from dataclasses import dataclass

from scoring.mastery.calibration import Calibration, calibrate
from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.people.access import own
from trainer.people.models import Person

STATED = (0.40, 0.70, 0.95)
"""What the three steps (a guess, fairly sure, sure) stand for as a chance of being right. Settings, no source."""
NAMES = ("A guess", "Fairly sure", "Sure")
LEAST = 10
"""Fewer answers say nothing about sureness; a setting."""
LEAN_FROM = 0.10
SIDE, PAD_LEFT, PAD_LOW, PAD = 100.0, 34.0, 30.0, 8.0


@dataclass(frozen=True, slots=True)
class Point:
    """One step of sureness, with its place in the picture [user units]."""

    name: str
    count: int
    right: int
    low_share: float
    high_share: float
    stated_share: float
    x: float
    y: float
    y_low: float
    y_high: float


@dataclass(frozen=True, slots=True)
class Sureness:
    """Calibration of one person in words, numbers and a picture."""

    found: Calibration
    enough: bool
    words: str
    points: tuple[Point, ...]


def sureness_of(person: Person) -> Sureness:
    """All graded answers of a person that count."""
    graded = explained(own(Attempt.objects.filter(void__isnull=True), person))
    said = list(graded.values_list("answer__sureness", "answer__grade__credit"))
    found = calibrate(said, STATED)
    points = tuple(
        Point(
            name, step.count, step.right, step.low_share, step.high_share, step.stated_share,
            _x(step.stated_share), _y(step.right_share), _y(step.low_share), _y(step.high_share),
        )
        for name, step in zip(NAMES, found.steps, strict=True)
    )  # fmt: skip
    enough = found.count >= LEAST
    return Sureness(found, enough, _words(found.lean, points) if enough else "", points)


def _words(lean: float, points: tuple[Point, ...]) -> str:
    """Which way it leans on average, then each step that its own answers speak against."""
    said = ["As sure as right, on average."]
    if lean >= LEAN_FROM:
        said = ["Surer than right: slow down before Sure is pressed."]
    elif lean <= -LEAN_FROM:
        said = ["More right than sure, on average."]
    for point in points:
        if point.count and not point.low_share <= point.stated_share <= point.high_share:
            way = "less" if point.high_share < point.stated_share else "more"
            said.append(
                f"“{point.name}” was right {point.right} of {point.count} times: {way} often than it stands for."
            )
    return " ".join(said)


def _x(share: float) -> float:
    return round(PAD_LEFT + SIDE * share, 1)


def _y(share: float) -> float:
    return round(PAD + SIDE * (1.0 - share), 1)


__all__ = ["LEAST", "NAMES", "STATED", "Point", "Sureness", "sureness_of"]
