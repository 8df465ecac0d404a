"""Rooms re-dimensioned: wall lines moved along x and along y, the same on every storey.

Every x where a wall stands (and likewise every y) is a *line*; lines cut the drawing into *bays*, and a bay is
stretched or shrunk as a whole::

        0      3.0 3.12        7.0      lines: faces of walls
        │ room │▒▒▒│   room    │
        bay 0   wall   bay 2            bay 1 keeps its size: a wall stays as thick as it was

The map from old to new is monotone, so rooms keep their order and neighbours; it is common to all storeys, so
flights stay over one another. Bays that hold a flight, a slanted wall, or a ceiling that slopes along them keep
their size. Doors and windows keep theirs everywhere and ride along with the wall they are in.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, radians, sin
from random import Random

from scoring.floor.plan import Level, Opening, Plan, Point
from scoring.floor.turn import moved

WALL_MAX_M = 0.45
"""A bay no wider than this is taken for a wall and keeps its size."""
GRAIN_M = 0.01
"""Bays change by whole centimetres."""
SAME_M = 1e-6
SLOPPY_M = 1e-4
"""Faces of one wall may be drawn this far from where they should be."""

Axis = int
"""0 for x, 1 for y."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Where walls stand along one axis and where each line goes: ``old`` and ``new`` rise together [m]."""

    old: tuple[float, ...]
    new: tuple[float, ...]

    def at(self, value: float) -> float:
        """The new place of a coordinate [m]; beyond the last lines it moves as they do."""
        bay = bisect_right(self.old, value) - 1
        if bay < 0:
            return value + self.new[0] - self.old[0]
        if bay >= len(self.old) - 1:
            return value + self.new[-1] - self.old[-1]
        gap = value - self.old[bay]
        width, new_width = self.old[bay + 1] - self.old[bay], self.new[bay + 1] - self.new[bay]
        if abs(new_width - width) < SAME_M:
            return round(self.new[bay] + gap, 9)
        return round(self.new[bay] + gap * new_width / width, 9)


@dataclass(frozen=True, slots=True)
class Bays:
    """The bays of one axis: their lines [m] and which of them keep their size."""

    lines: tuple[float, ...]
    rigid: tuple[bool, ...]

    def within(self, low: float, high: float) -> Iterator[int]:
        """The bays between two coordinates, whole or in part."""
        for bay in range(len(self.rigid)):
            if self.lines[bay] < high - SAME_M and self.lines[bay + 1] > low + SAME_M:
                yield bay


def bays_of(plan: Plan, axis: Axis) -> Bays:
    """The bays of a plan along one axis."""
    lines: list[float] = []
    for value in sorted(point[axis] for level in plan.levels for space in level.spaces for point in space.outline):
        if not lines or value - lines[-1] > SAME_M:
            lines.append(value)
    bays = Bays(tuple(lines), tuple(b - a <= WALL_MAX_M for a, b in pairwise(lines)))
    rigid = list(bays.rigid)
    for low, high in _kept(plan, axis):
        for bay in bays.within(low, high):
            rigid[bay] = True
    return Bays(bays.lines, tuple(rigid))


def _kept(plan: Plan, axis: Axis) -> Iterator[tuple[float, float]]:
    """Stretches of an axis that must keep their size: flights, slanted walls, ceilings sloping along it."""
    for flight in plan.flights:
        yield reach([*flight.outline, *flight.foot.edge, *flight.head.edge], axis)
    for level in plan.levels:
        for space in level.spaces:
            corners = space.outline
            for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
                if abs(a[0] - b[0]) > SAME_M and abs(a[1] - b[1]) > SAME_M:
                    yield reach([a, b], axis)
            for slope in space.slopes:
                if abs((cos, sin)[axis](radians(slope.toward_deg))) > 1e-3:
                    yield reach(corners, axis)


def reach(points: Sequence[Point], axis: Axis) -> tuple[float, float]:
    """The least and greatest coordinate of some points along an axis [m]."""
    values = [point[axis] for point in points]
    return min(values), max(values)


def draw_lines(bays: Bays, spread: float, limits: Mapping[int, tuple[float, float]], rng: Random) -> Lines:
    """New lines: each free bay by a factor of 1 ± ``spread``, kept within the bay's own limits."""
    new = [bays.lines[0]]
    for bay, rigid in enumerate(bays.rigid):
        width = bays.lines[bay + 1] - bays.lines[bay]
        least, most = limits.get(bay, (0.0, 2.0))
        factor = min(max(rng.uniform(1.0 - spread, 1.0 + spread), least), most)
        change = 0.0 if rigid else round(width * (factor - 1.0) / GRAIN_M) * GRAIN_M
        new.append(round(new[-1] + width + change, 9))
    return Lines(bays.lines, tuple(new))


def redimensioned(plan: Plan, across: Lines, up: Lines) -> Plan:
    """The plan with its walls moved: ``across`` moves x, ``up`` moves y. Furniture moves with its corners (no sense
    yet: see `scoring.floor.vary_things`), openings keep their width and their share of free play in the wall."""
    lines = (across, up)
    bent = moved(plan, lambda point: (across.at(point[0]), up.at(point[1])))
    levels = []
    for old, new in zip(plan.levels, bent.levels, strict=True):
        openings = tuple(_carried(opening, old, lines) for opening in old.openings)
        levels.append(replace(new, openings=openings))
    return replace(bent, levels=tuple(levels))


def _carried(opening: Opening, level: Level, lines: tuple[Lines, Lines]) -> Opening:
    """An opening in its moved wall, as wide as before."""
    (ax, ay), (bx, by) = opening.jambs
    middle = ((ax + bx) / 2.0, (ay + by) / 2.0)
    shift = [lines[0].at(middle[0]) - middle[0], lines[1].at(middle[1]) - middle[1]]
    axis = along_axis(opening)
    if axis is not None:
        run = wall_run(opening, level)
        low, high = reach(opening.jambs, axis)
        if run is not None and run[1] - run[0] > high - low + SAME_M:
            old_play = run[1] - run[0] - (high - low)
            new_play = old_play + lines[axis].at(run[1]) - lines[axis].at(run[0]) - (run[1] - run[0])
            start = lines[axis].at(run[0]) + max(new_play, 0.0) * (low - run[0]) / old_play
            shift[axis] = round(start - low, 3)
        faces = [side.face for side in _sides(opening, level, axis)]
        if faces:
            shift[1 - axis] = lines[1 - axis].at(faces[0]) - faces[0]
    return shifted(opening, shift[0], shift[1])


def shifted(opening: Opening, dx: float, dy: float) -> Opening:
    """The opening moved by (dx, dy) [m]."""
    (ax, ay), (bx, by) = opening.jambs
    jambs = ((round(ax + dx, 9), round(ay + dy, 9)), (round(bx + dx, 9), round(by + dy, 9)))
    return replace(opening, jambs=jambs)


def along_axis(opening: Opening) -> Axis | None:
    """The axis that the opening's wall runs along; None for a slanted wall."""
    (ax, ay), (bx, by) = opening.jambs
    if abs(ay - by) < SAME_M:
        return 0
    return 1 if abs(ax - bx) < SAME_M else None


def wall_run(opening: Opening, level: Level) -> tuple[float, float] | None:
    """From where to where the opening could slide along its wall [m]: both rooms' walls run there; None if slanted."""
    axis = along_axis(opening)
    if axis is None:
        return None
    sides = _sides(opening, level, axis)
    if not sides or len(sides) < sum(space.id in opening.between for space in level.spaces):
        return None
    return max(side.low for side in sides), min(side.high for side in sides)


@dataclass(frozen=True, slots=True)
class _Side:
    """A stretch of a room's outline that holds one face of an opening: from ``low`` to ``high``, at ``face`` [m]."""

    low: float
    high: float
    face: float


def _sides(opening: Opening, level: Level, axis: Axis) -> list[_Side]:
    """The faces of the opening's wall that are drawn, at most one for each of its rooms."""
    place = opening.jambs[0][1 - axis]
    held = reach(opening.jambs, axis)
    found = []
    for space in level.spaces:
        if space.id not in opening.between:
            continue
        corners = space.outline
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            face = a[1 - axis]
            level_side = abs(face - b[1 - axis]) < SAME_M
            if level_side and abs(abs(face - place) - opening.depth_m / 2.0) < SLOPPY_M:
                low, high = reach([a, b], axis)
                if low - SLOPPY_M <= held[0] and held[1] <= high + SLOPPY_M:
                    found.append(_Side(low, high, face))
                    break
    return found


__all__ = [
    "Axis", "Bays", "Lines", "along_axis", "bays_of", "draw_lines", "reach", "redimensioned", "shifted", "wall_run",
]  # fmt: skip
