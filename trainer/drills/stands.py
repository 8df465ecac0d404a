"""The stations of a graded attempt to look round from: one's own, the given ones, and the reference's."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.drills.models import Attempt
from trainer.drills.picture import Case
from trainer.drills.reading import is_explained
from trainer.library.drawing.units import length_words

SAME_M = 0.05
"""Two stations nearer than this are one to look from."""


@dataclass(frozen=True, slots=True)
class Stand:
    """A station with a name for addresses and one for people."""

    name: str
    words: str
    level: int
    x: float
    y: float

    def seen_from(self, other: Stand) -> tuple[float, float]:
        """Azimuth [deg] and distance [m] of this station in a frame of another whose middle is east on the drawing."""
        dx, dy = self.x - other.x, self.y - other.y
        return -math.degrees(math.atan2(dy, dx)), math.hypot(dx, dy)


def stands_of(attempt: Attempt) -> list[Stand]:
    """Where one may look round once the case is explained; none before, and none for a case without stations."""
    if "plan" not in attempt.public or not is_explained(attempt):
        return []
    answer = attempt.answer
    stations = Case.of(attempt).stations_of(answer.body)
    own = [Stand(f"station-{n}", f"Station {n}", s.level, s.x, s.y) for n, s in enumerate(stations, 1)]
    points = [s for s in answer.grade.body["shapes"] if s["role"] == "reference" and s["form"] == "point"]
    return own + [
        Stand(f"reference-{n}", f"Reference {s['label'] or n}", s["level"], *_spot(s["at"]))
        for n, s in enumerate(points, 1)
    ]


def others(stands: list[Stand], here: Stand, units: str) -> list[dict[str, str]]:
    """The other stations of that level: their words, where they stand in the frame, how far."""
    out = []
    for one in stands:
        if one.name == here.name or one.level != here.level:
            continue
        azimuth, distance = one.seen_from(here)
        if distance > SAME_M:
            shown = f"{round(azimuth)}".replace("-", "−")
            away = length_words(distance, units)
            out.append(
                {"name": one.name, "words": one.words, "azimuth": f"{azimuth:.1f}", "shown": shown, "away": away}
            )
    return out


def _spot(at: list[object]) -> tuple[float, float]:
    x, y = at[0] if isinstance(at[0], list) else at
    return float(x), float(y)  # type: ignore[arg-type]


__all__ = ["Stand", "others", "stands_of"]
