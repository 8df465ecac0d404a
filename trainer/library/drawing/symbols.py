"""Furniture in thin pencil: each kind of thing by the few lines a draughtsman would give it.

A thing's footprint becomes a frame: ``across`` runs 0..1 along its back, ``out`` 0..1 from its back to its
front. The back is the side nearest a wall. Symbols are drawn in the frame and so fit any size and turn::

        back   (0,0) ──────────── (1,0)
                 │                  │
        front  (0,1) ──────────── (1,1)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape

import numpy as np
from shapely import LineString, Point, Polygon

from scoring.floor.plan import Level, Thing
from trainer.library.drawing import pen
from trainer.library.drawing.units import length_words

OVERHEAD_M = 1.0
"""A thing that starts higher than this is drawn dashed: one walks under it."""
ROUND = 0.5523
"""Control length of a cubic that follows a quarter circle."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A footprint's own axes [m]."""

    corner: tuple[float, float]
    across: tuple[float, float]
    out: tuple[float, float]

    @property
    def width_m(self) -> float:
        """Length of the back."""
        return float(np.hypot(*self.across))

    @property
    def depth_m(self) -> float:
        """From back to front."""
        return float(np.hypot(*self.out))

    def at(self, a: float, o: float) -> tuple[float, float]:
        """A frame position on the plan [m]."""
        return (
            self.corner[0] + a * self.across[0] + o * self.out[0],
            self.corner[1] + a * self.across[1] + o * self.out[1],
        )

    def line(self, *points: tuple[float, float]) -> str:
        """A polyline through frame positions."""
        return pen.ring((self.at(*p) for p in points), closed=False)

    def box(self, a0: float, o0: float, a1: float, o1: float) -> str:
        """A rectangle between two frame positions."""
        return pen.ring(self.at(*p) for p in ((a0, o0), (a1, o0), (a1, o1), (a0, o1)))

    def oval(self, a: float, o: float, ra: float, ro: float) -> str:
        """An ellipse about a frame position, radii in frame shares."""
        ka, ko = ra * ROUND, ro * ROUND
        quarters = [
            ((a + ra, o + ko), (a + ka, o + ro), (a, o + ro)),
            ((a - ka, o + ro), (a - ra, o + ko), (a - ra, o)),
            ((a - ra, o - ko), (a - ka, o - ro), (a, o - ro)),
            ((a + ka, o - ro), (a + ra, o - ko), (a + ra, o)),
        ]
        curves = "".join("C" + ",".join(pen.spot(self.at(*p)) for p in q) for q in quarters)
        return f"M{pen.spot(self.at(a + ra, o))}{curves}Z"

    def disc(self, a: float, o: float, radius_m: float) -> str:
        """A circle of a radius in metres about a frame position."""
        return self.oval(a, o, radius_m / (self.width_m or 1.0), radius_m / (self.depth_m or 1.0))

    def inset(self, metres: float) -> str:
        """The frame's own outline, drawn inside by a distance [m]."""
        a, o = min(0.4, metres / self.width_m), min(0.4, metres / self.depth_m)
        return self.box(a, o, 1 - a, 1 - o)


def frame_of(thing: Thing, walls: LineString | None) -> Frame:
    """The frame of a footprint, its back to the nearest wall; beds lie with a short side there."""
    box = Polygon(thing.outline).minimum_rotated_rectangle
    corners = np.array(box.exterior.coords[:4]) if isinstance(box, Polygon) else np.array([thing.outline[0]] * 4)
    best: tuple[float, int] | None = None
    lengths = [float(np.hypot(*(corners[(i + 1) % 4] - corners[i]))) for i in range(4)]
    for i in range(4):
        middle = (corners[i] + corners[(i + 1) % 4]) / 2
        gap = walls.distance(Point(middle)) if walls is not None else 0.0
        longer = lengths[i] >= lengths[(i + 1) % 4] - 1e-6
        wrong = longer if thing.kind in {"bed", "cot", "wc", "bath"} else not longer
        penalty = 100.0 if wrong and abs(lengths[i] - lengths[(i + 1) % 4]) > 0.05 else 0.0
        if best is None or gap + penalty < best[0] - 1e-6:
            best = (gap + penalty, i)
    i = best[1] if best else 0
    start, end, front = corners[i], corners[(i + 1) % 4], corners[(i + 2) % 4]
    return Frame(tuple(start.tolist()), tuple((end - start).tolist()), tuple((front - end).tolist()))


def _seats(f: Frame) -> str:
    count = max(1, round((f.width_m - 0.3) / 0.7))
    back, arm = 0.22 / f.depth_m, 0.15 / f.width_m
    cuts = [arm + (1 - 2 * arm) * i / count for i in range(1, count)]
    return (
        f.line((0, back), (1, back)) + f.line((arm, back), (arm, 1)) + f.line((1 - arm, back), (1 - arm, 1))
        + "".join(f.line((c, back), (c, 1)) for c in cuts)
    )  # fmt: skip


def _bed(f: Frame) -> str:
    double = f.width_m > 1.15
    high, low = 0.12 / f.depth_m, 0.47 / f.depth_m
    spans = [(0.07, 0.46), (0.54, 0.93)] if double else [(0.14, 0.86)]
    pillows = "".join(f.box(a, high, b, low) for a, b in spans)
    fold = 0.62 / f.depth_m
    return pillows + f.line((0, fold), (1, fold)) + f.line((1, fold + 0.2), (0.72, fold))


def _cross(f: Frame) -> str:
    return f.line((0, 0), (1, 1)) + f.line((1, 0), (0, 1))


def _slats(f: Frame, pitch_m: float) -> str:
    count = max(2, round(f.width_m / pitch_m))
    return "".join(f.line((i / count, 0), (i / count, 1)) for i in range(1, count))


def _stove(f: Frame) -> str:
    r = min(f.width_m, f.depth_m) * 0.15
    return "".join(f.disc(a, o, r) for a in (0.28, 0.72) for o in (0.3, 0.7))


def _sink(f: Frame) -> str:
    return f.box(0.15, 0.2, 0.85, 0.85) + f.disc(0.5, 0.5, 0.03) + f.line((0.5, 0.05), (0.5, 0.3))


def _basin(f: Frame) -> str:
    return f.oval(0.5, 0.55, 0.36, 0.33) + f.line((0.5, 0.05), (0.5, 0.4))


def _wc(f: Frame) -> str:
    tank = min(0.4, 0.18 / f.depth_m)
    return f.box(0.05, 0, 0.95, tank) + f.oval(0.5, tank + (1 - tank) / 2, 0.4, (1 - tank) / 2)


def _bath(f: Frame) -> str:
    a, o = 0.09 / f.width_m, 0.09 / f.depth_m
    tub = (
        f"M{pen.spot(f.at(a, o))}L{pen.spot(f.at(1 - a, o))}L{pen.spot(f.at(1 - a, 0.75))}"
        f"C{pen.spot(f.at(1 - a, 1 - o))},{pen.spot(f.at(a, 1 - o))},{pen.spot(f.at(a, 0.75))}Z"
    )
    return tub + f.disc(0.5, o + 0.12 / f.depth_m, 0.03)


def _fan(f: Frame) -> str:
    return f.disc(0.5, 0.5, 0.08) + "".join(
        f.oval(0.5 + da, 0.5 + do, 0.08 + abs(da) * 0.55, 0.08 + abs(do) * 0.55)
        for da, do in ((0.27, 0), (-0.27, 0), (0, 0.27), (0, -0.27))
    )


def _leaves(f: Frame) -> str:
    petals = [(0.5 + 0.26 * float(np.cos(t)), 0.5 + 0.26 * float(np.sin(t))) for t in np.arange(6) * np.pi / 3]
    return "".join(f.oval(a, o, 0.2, 0.2) for a, o in petals) + f.oval(0.5, 0.5, 0.07, 0.07)


def _piano(f: Frame) -> str:
    return f.line((0, 0.7), (1, 0.7)) + "".join(f.line((i / 12, 0.7), (i / 12, 1)) for i in range(1, 12))


def _car(f: Frame) -> str:
    if f.width_m > f.depth_m:
        f = Frame(f.corner, f.out, f.across)
    glass = f.line((0.12, 0.3), (0.22, 0.42), (0.78, 0.42), (0.88, 0.3))
    rear = f.line((0.15, 0.86), (0.24, 0.78), (0.76, 0.78), (0.85, 0.86))
    return glass + rear + f.line((0.22, 0.42), (0.24, 0.78)) + f.line((0.78, 0.42), (0.76, 0.78))


def _plain(f: Frame) -> str:
    return ""


def _table(f: Frame) -> str:
    return f.inset(0.06)


SYMBOLS: dict[str, Callable[[Frame], str]] = {
    "sofa": _seats, "armchair": _seats, "bed": _bed, "table": _table, "island": _table,
    "bench": lambda f: _slats(f, 0.3),
    "chair": lambda f: f.line((0, 0.2), (1, 0.2)),
    "desk": lambda f: f.box(0.3, 0.12, 0.7, 0.22) + f.box(0.36, 0.5, 0.64, 0.85),
    "cot": lambda f: _slats(f, 0.12), "wardrobe": lambda f: _cross(f) + f.line((0, 0.5), (1, 0.5)),
    "shelf": lambda f: f.line((0, 1), (1, 0)),
    "sideboard": lambda f: f.line((0, 0.85), (1, 0.85)) + f.line((0.5, 0.85), (0.5, 1)),
    "counter": lambda f: f.line((0, 0.9), (1, 0.9)), "wall-cupboard": lambda f: f.line((0, 1), (0.5, 0), (1, 1)),
    "stove": _stove, "fridge": lambda f: _cross(f) + f.line((0, 0.88), (1, 0.88)), "sink": _sink, "basin": _basin,
    "wc": _wc, "bath": _bath, "shower": lambda f: _cross(f) + f.disc(0.5, 0.5, 0.06),
    "boiler": lambda f: f.oval(0.5, 0.5, 0.4, 0.4) + f.oval(0.5, 0.5, 0.12, 0.12),
    "washer": lambda f: f.oval(0.5, 0.55, 0.34, 0.34) + f.line((0, 0.14), (1, 0.14)),
    "chimney": _cross, "beam": _plain, "rail": lambda f: f.line((0, 0.5), (1, 0.5)), "fan": _fan,
    "lamp": lambda f: f.oval(0.5, 0.5, 0.45, 0.45) + f.line((0.5, 0), (0.5, 1)) + f.line((0, 0.5), (1, 0.5)),
    "mirror": lambda f: "".join(f.line((i / 8, 1), ((i + 1) / 8, 0)) for i in range(8)),
    "plant": _leaves, "tree": _leaves, "piano": _piano, "box": _cross,
    "hedge": lambda f: "".join(f.oval((i + 0.5) / 8, 0.5, 0.07, 0.42) for i in range(8)),
    "fence": lambda f: _slats(f, 0.6), "car": _car, "shed": lambda f: f.line((0, 0.5), (1, 0.5)),
    "bin": lambda f: f.oval(0.5, 0.5, 0.36, 0.36),
}  # fmt: skip
SOLID = frozenset({"column", "chimney"})
SOFT = frozenset({"plant", "tree", "fan", "lamp"})
"""Kinds whose box is not drawn: the symbol is the outline."""


def draw_thing(thing: Thing, walls: LineString | None, units: str = "m") -> str:
    """One thing with its name and height as the tip that a pointer shows."""
    frame = frame_of(thing, walls)
    classes = ["thing"]
    if thing.base_m >= OVERHEAD_M:
        classes.append("overhead")
    if thing.kind in SOLID:
        classes.append("solid")
    outline = pen.path(pen.ring(thing.outline), "soft" if thing.kind in SOFT else "outline")
    inner = SYMBOLS.get(thing.kind, _plain)(frame) if frame.width_m > 0.02 and frame.depth_m > 0.02 else ""
    tip = pen.tag("title", escape(f"{thing.name}, {length_words(thing.height_m, units)} high"))
    return pen.tag("g", tip + outline + pen.path(inner, "detail"), class_=" ".join(classes))


def furniture(level: Level, units: str = "m") -> str:
    """Every thing of a level, the low ones first so that what hangs lies on top."""
    edges = {s.id: LineString([*s.outline, s.outline[0]]) for s in level.spaces}
    things: Iterable[Thing] = sorted(level.things, key=lambda t: t.base_m)
    return "".join(draw_thing(thing, edges.get(thing.space), units) for thing in things)
