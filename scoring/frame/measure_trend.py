"""How the disagreement of two headings goes with distance and height: what tells its causes apart.

Every point says how far apart it is put, across and up (``measure_seams``). Two laws are held against each other, as
short power series in sin(elevation), because a lens off its axis and a phone that is askew do the same on the floor::

    none      s = b(elevation)            the same near and far: headings are turned against each other
    inverse   s = a(elevation) / d        as one over the distance: the lens is in another place

The one that leaves less behind is the law; where both are mixed, the one with the greater part. Near and far things
at one height decide: a frame without them gives "n/a".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scoring.frame.measure_seams import Floats, Points

Law = Literal["inverse", "none", "n/a"]
Direction = Literal["sideways", "vertical", "both", "none"]

TERMS = 4
"""Of the power series in sin(elevation) that stands for a and b."""
STEADY = 1e-6
"""Share of the whole by which a fit is drawn to nought."""
EYE_DEG = 6.0
"""Eye level reaches this far up and down."""
OFF_DEG = (15.0, 50.0)
"""Above and below eye level are these elevations."""
CLEARER = 1.5
"""A law is the better one when the other leaves this many times as much behind, in squares."""
PART = 0.4
"""What is less than this share of something else counts as absent beside it."""


@dataclass(frozen=True, slots=True)
class Trend:
    """How the disagreement of still things goes with distance and height."""

    law: Law
    direction: Direction
    at_eye_level: bool
    """Whether things at eye level are off as much as others at their distance."""
    opposite: bool
    """Whether it is the other way round below eye level."""


LAWS: tuple[Law, Law] = ("none", "inverse")
NOTHING = Trend("n/a", "none", False, False)


def trend_of(points: Points, seams: Sequence[int]) -> Trend:
    """The trend over these seams; `NOTHING` without any."""
    chosen = points.where(np.isin(points.seam, np.array(seams, dtype=np.int64)))
    if len(chosen.seam) == 0:
        return NOTHING
    even, nearer = np.ones_like(chosen.distance_m), 1.0 / chosen.distance_m
    law = _law(chosen)
    scaled = np.stack([chosen.right_deg, chosen.up_deg], axis=1) / (nearer if law == "inverse" else even)[:, None]
    right, up = np.sqrt(np.average(scaled**2, axis=0, weights=chosen.weight))
    eye = _by_seam(chosen, scaled, np.abs(chosen.elevation_deg) <= EYE_DEG)
    below = _by_seam(chosen, scaled, _off(-chosen.elevation_deg))
    above = _by_seam(chosen, scaled, _off(chosen.elevation_deg))
    off = max(_size(below), _size(above))
    return Trend(
        law=law,
        direction="vertical" if right < PART * up else "sideways" if up < PART * right else "both",
        at_eye_level=_size(eye) > PART * off,
        opposite=float((below * above).sum()) < -PART * float(np.linalg.norm(below) * np.linalg.norm(above)),
    )


def _law(points: Points) -> Law:
    """Which of the two laws leaves less behind; where both are mixed, which has the greater part."""
    behind = dict.fromkeys(LAWS, 0.0)
    part = dict.fromkeys(LAWS, 0.0)
    for seam in np.unique(points.seam):
        own = points.where(points.seam == seam)
        root = np.sqrt(own.weight)[:, None]
        steps = np.stack([own.right_deg, own.up_deg], axis=1) * root
        heights = np.sin(np.radians(own.elevation_deg))[:, None] ** np.arange(TERMS)
        columns: dict[Law, Floats] = {"none": heights * root, "inverse": heights / own.distance_m[:, None] * root}
        for law, alone in columns.items():
            behind[law] += float(((steps - alone @ _fitted(alone, steps)) ** 2).sum())
        both = _fitted(np.hstack(list(columns.values())), steps)
        part["none"] += float(((columns["none"] @ both[:TERMS]) ** 2).sum())
        part["inverse"] += float(((columns["inverse"] @ both[TERMS:]) ** 2).sum())
    for law, other in (LAWS, LAWS[::-1]):
        if behind[law] * CLEARER < behind[other]:
            return law
    for law, other in (LAWS, LAWS[::-1]):
        if part[law] > CLEARER * part[other]:
            return law
    return "n/a"


def _fitted(columns: Floats, steps: Floats) -> Floats:
    """Least squares, a little drawn to nought so that what cannot be told apart is shared."""
    pull = STEADY * float((columns**2).sum()) * np.eye(columns.shape[1])
    return np.asarray(np.linalg.solve(columns.T @ columns + pull, columns.T @ steps))


def _off(elevation_deg: Floats) -> NDArray[np.bool_]:
    return np.asarray((elevation_deg >= OFF_DEG[0]) & (elevation_deg <= OFF_DEG[1]))


def alike(points: Points, seams: Sequence[int], law: Law) -> bool:
    """Whether these seams are off by the same, distance taken out by the law."""
    chosen = points.where(np.isin(points.seam, np.array(seams, dtype=np.int64)))
    factor = chosen.distance_m if law == "inverse" else np.ones_like(chosen.distance_m)
    scaled = np.stack([chosen.right_deg, chosen.up_deg], axis=1) * factor[:, None]
    zones = (np.abs(chosen.elevation_deg) <= OFF_DEG[0], _off(-chosen.elevation_deg), _off(chosen.elevation_deg))
    profile = np.hstack([_by_seam(chosen, scaled, zone) for zone in zones])
    mean = profile.mean(axis=0)
    return float(np.sqrt(((profile - mean) ** 2).sum(axis=1).mean())) < PART * float(np.linalg.norm(mean))


def _by_seam(points: Points, steps: Floats, zone: NDArray[np.bool_]) -> Floats:
    """Mean step (right, up) of each seam over a zone, (seams, 2); zero where a seam shows nothing there."""
    means = []
    for seam in np.unique(points.seam):
        inside = zone & (points.seam == seam)
        means.append(np.average(steps[inside], axis=0, weights=points.weight[inside]) if inside.any() else np.zeros(2))
    return np.array(means)


def _size(steps: Floats) -> float:
    return float(np.sqrt((steps**2).sum(axis=1).mean()))


__all__ = ["NOTHING", "Direction", "Law", "Trend", "alike", "trend_of"]
