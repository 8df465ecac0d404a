"""Bodies built of rings: a person, a cat, a fan, a curtain, a plant. Calm and faceless, and nobody in particular.

Each stands at the origin and faces east (``bodies.set_down`` puts it where it is met).

A *loft* is a skin over rings of equally many points, one above or behind the other::

        .-.      ring n
       /   \
      (     )    ring k: centre, half width, half depth
       \\   /
        '-'      ring 0
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from scoring.frame.finishes import PLAIN, WEAVE, WOOD, Finish
from scoring.frame.solids import Face, Pile, Vector

SIDES = 24
AHEAD: Vector = (1.0, 0.0, 0.0)
ASIDE: Vector = (0.0, 1.0, 0.0)

SKIN = Finish(PLAIN, (0.50, 0.36, 0.28))
HAIR = Finish(PLAIN, (0.10, 0.08, 0.07))
SHIRT = Finish(WEAVE, (0.16, 0.27, 0.34), (0.12, 0.21, 0.27), (0.02, 0.02), 0.2, 11)
TROUSERS = Finish(WEAVE, (0.13, 0.13, 0.15), (0.10, 0.10, 0.12), (0.02, 0.02), 0.2, 12)
SHOES = Finish(PLAIN, (0.07, 0.06, 0.06))
FUR = Finish(PLAIN, (0.34, 0.22, 0.13))
DARK = Finish(PLAIN, (0.05, 0.05, 0.05))
PALE = Finish(PLAIN, (0.62, 0.60, 0.56))
LINEN = Finish(WEAVE, (0.68, 0.64, 0.56), (0.60, 0.56, 0.48), (0.03, 0.03), 0.25, 13)
POT = Finish(PLAIN, (0.45, 0.25, 0.17))
GREEN = Finish(PLAIN, (0.10, 0.22, 0.07))
STEM = Finish(WOOD, (0.25, 0.18, 0.10), (0.2, 0.14, 0.08), (0.05, 0.3), 0.3, 14)

Ring = Sequence[Vector]


def ring(middle: Vector, wide: float, deep: float, ahead: Vector, aside: Vector, sides: int = SIDES) -> Ring:
    """Points round an ellipse: ``deep`` along ``ahead`` and ``wide`` along ``aside`` are its half axes [m]."""
    out = []
    for k in range(sides):
        t = 2.0 * math.pi * k / sides
        a, b = deep * math.cos(t), wide * math.sin(t)
        out.append(tuple(m + a * x + b * y for m, x, y in zip(middle, ahead, aside, strict=True)))
    return out  # type: ignore[return-value]


def loft(pile: Pile, rings: Sequence[Ring], finish: Finish) -> None:
    """A closed skin over rings that follow each other, each counter-clockwise seen from the last one's side."""
    for low, high in pairwise(rings):
        for k in range(len(low)):
            n = (k + 1) % len(low)
            pile.facet([low[k], low[n], high[n], high[k]], finish)
    pile.facet(list(reversed(rings[0])), finish)
    pile.facet(list(rings[-1]), finish)


def limb(pile: Pile, path: Sequence[tuple[Vector, float]], finish: Finish, sides: int = 16) -> None:
    """A tube along points (place, radius)."""
    rings = []
    for i, (middle, radius) in enumerate(path):
        before, after = path[max(i - 1, 0)][0], path[min(i + 1, len(path) - 1)][0]
        along = _unit(tuple(b - a for a, b in zip(before, after, strict=True)))
        helper = (1.0, 0.0, 0.0) if abs(along[0]) < 0.8 else (0.0, 1.0, 0.0)
        aside = _unit(_cross(along, helper))
        rings.append(ring(middle, radius, radius, _cross(aside, along), aside, sides))
    loft(pile, rings, finish)


def ball(pile: Pile, middle: Vector, radii: Vector, finish: Finish, bands: int = 11) -> None:
    """An ellipsoid with half axes ahead, aside and up, from its lowest point to its highest."""
    rings = []
    for k in range(bands + 1):
        t = math.pi * (0.06 + 0.88 * k / bands)
        size = math.sin(t)
        at = (middle[0], middle[1], middle[2] - radii[2] * math.cos(t))
        rings.append(ring(at, radii[1] * size, radii[0] * size, AHEAD, ASIDE))
    loft(pile, rings, finish)


def person(tall_m: float = 1.72) -> list[Face]:
    """Somebody who stands at ease."""
    pile = Pile()
    s = tall_m / 1.72

    def at(forward: float, left: float, up: float) -> Vector:
        return (s * forward, s * left, s * up)

    def rings(rows: Sequence[tuple[float, float, float, float]]) -> list[Ring]:
        return [ring(at(f, 0.0, z), w * s, d * s, AHEAD, ASIDE) for f, z, w, d in rows]

    for side in (1.0, -1.0):
        limb(pile, [(at(0.0, 0.095 * side, 0.05), 0.052 * s), (at(0.01, 0.095 * side, 0.45), 0.062 * s),
                    (at(0.0, 0.09 * side, 0.86), 0.088 * s)], TROUSERS, 20)  # fmt: skip
        limb(pile, [(at(-0.06, 0.1 * side, 0.045), 0.046 * s), (at(0.06, 0.105 * side, 0.045), 0.05 * s),
                    (at(0.16, 0.115 * side, 0.035), 0.034 * s)], SHOES)  # fmt: skip
        ball(pile, at(0.0, 0.185 * side, 1.385), (0.066 * s, 0.066 * s, 0.068 * s), SHIRT, 7)
        limb(pile, [(at(0.0, 0.19 * side, 1.385), 0.062 * s), (at(-0.005, 0.222 * side, 1.25), 0.053 * s),
                    (at(-0.01, 0.245 * side, 1.12), 0.046 * s),
                    (at(0.04, 0.25 * side, 0.88), 0.036 * s)], SHIRT)  # fmt: skip
        limb(pile, [(at(0.04, 0.25 * side, 0.89), 0.034 * s), (at(0.06, 0.245 * side, 0.82), 0.042 * s),
                    (at(0.075, 0.24 * side, 0.74), 0.022 * s)], SKIN)  # fmt: skip
    loft(pile, rings([(0.0, 0.80, 0.155, 0.105), (0.0, 0.92, 0.168, 0.115), (0.0, 1.02, 0.150, 0.105)]), TROUSERS)
    loft(pile, rings([(0.0, 0.94, 0.166, 0.116), (0.0, 1.08, 0.152, 0.108), (0.01, 1.25, 0.178, 0.122),
                      (0.0, 1.37, 0.195, 0.112), (0.0, 1.43, 0.165, 0.088),
                      (0.0, 1.465, 0.085, 0.065)]), SHIRT)  # fmt: skip
    loft(pile, rings([(0.01, 1.44, 0.056, 0.058), (0.02, 1.54, 0.052, 0.056)]), SKIN)
    ball(pile, at(0.03, 0.0, 1.61), (0.098 * s, 0.075 * s, 0.115 * s), SKIN)
    ball(pile, at(0.005, 0.0, 1.645), (0.098 * s, 0.083 * s, 0.09 * s), HAIR)
    return pile.faces


def cat() -> list[Face]:
    """A cat on its four feet."""
    pile = Pile()
    limb(pile, [((-0.24, 0.0, 0.20), 0.03), ((-0.21, 0.0, 0.205), 0.075), ((-0.08, 0.0, 0.2), 0.09),
                ((0.08, 0.0, 0.205), 0.082), ((0.19, 0.0, 0.215), 0.066),
                ((0.25, 0.0, 0.24), 0.04)], FUR, 18)  # fmt: skip
    for forward in (-0.17, 0.15):
        for side in (1.0, -1.0):
            limb(pile, [((forward + 0.02, 0.05 * side, 0.0), 0.022), ((forward, 0.05 * side, 0.09), 0.02),
                        ((forward - 0.01, 0.045 * side, 0.19), 0.042)], FUR, 7)  # fmt: skip
    ball(pile, (0.29, 0.0, 0.30), (0.065, 0.055, 0.055), FUR)
    for side in (1.0, -1.0):
        limb(pile, [((0.275, 0.032 * side, 0.335), 0.02), ((0.27, 0.038 * side, 0.375), 0.004)], FUR, 5)
    limb(pile, [((-0.23, 0.0, 0.22), 0.022), ((-0.33, 0.02, 0.28), 0.02), ((-0.37, 0.05, 0.40), 0.014)], FUR, 7)
    return pile.faces


def fan_stand() -> list[Face]:
    """The foot and pole of a standing fan."""
    pile = Pile()
    pile.lathe(0.0, 0.0, [(0.0, 0.0), (0.2, 0.0), (0.2, 0.02), (0.03, 0.05)], DARK)
    limb(pile, [((0.0, 0.0, 0.0), 0.014), ((0.0, 0.0, 1.05), 0.014)], DARK, 8)
    return pile.faces


def fan_head(turned_deg: float) -> list[Face]:
    """The head of a standing fan with its blades at a turn."""
    pile = Pile()
    ahead, up = 0.04, 1.1
    limb(pile, [((-0.1, 0.0, up), 0.05), ((ahead, 0.0, up), 0.045)], PALE, 10)
    for k in range(3):
        t = math.radians(turned_deg + 120.0 * k)
        c, s = 0.20 * math.cos(t), 0.20 * math.sin(t)
        run, wide = (0.0, c, s), (0.0, -0.45 * s, 0.45 * c)
        pile.quad((ahead + 0.002, 0.0, up), run, wide, PALE)
        pile.quad((ahead - 0.002, 0.0, up), wide, run, PALE)
    for k in range(16):
        t0, t1 = 2.0 * math.pi * k / 16.0, 2.0 * math.pi * (k + 1) / 16.0
        ends = [(ahead, 0.23 * math.cos(t), up + 0.23 * math.sin(t)) for t in (t0, t1)]
        limb(pile, [(ends[0], 0.006), (ends[1], 0.006)], DARK, 5)
    return pile.faces


def curtain(high_m: float = 2.1, wide_m: float = 0.8) -> list[Face]:
    """A hanging cloth in folds, its foot in the middle."""
    pile = Pile()
    folds = 28
    line = []
    for k in range(folds + 1):
        line.append((0.035 * math.sin(k * 1.35) + 0.012 * math.sin(k * 0.6), (k / folds - 0.5) * wide_m))
    for (x0, y0), (x1, y1) in pairwise(line):
        pile.quad((x0, y0, 0.02), (x1 - x0, y1 - y0, 0.0), (0.0, 0.0, high_m), LINEN)
    return pile.faces


def pot() -> list[Face]:
    """A flower pot."""
    pile = Pile()
    pile.lathe(0.0, 0.0, [(0.0, 0.0), (0.12, 0.0), (0.17, 0.28), (0.15, 0.28), (0.0, 0.25)], POT)
    return pile.faces


def leaves(seed: int = 3) -> list[Face]:
    """The stems and leaves of a house plant, about a metre high: each leaf in three parts, bent down to its tip."""
    pile = Pile()
    for k in range(26):
        t = 2.399963 * k + 0.1 * seed
        lean, high = 0.02 + 0.006 * k, 1.0 - 0.022 * k
        c, s = math.cos(t), math.sin(t)
        top = (lean * c, lean * s, high)
        limb(pile, [((0.0, 0.0, 0.24), 0.006), (top, 0.004)], STEM, 5)
        spine = [(0.0, 0.0, 0.0), (0.07, 0.032, 0.02), (0.15, 0.03, 0.0), (0.23, 0.0, -0.07)]
        rows = [
            ((top[0] + a * c - w * s, top[1] + a * s + w * c, top[2] + up),
             (top[0] + a * c + w * s, top[1] + a * s - w * c, top[2] + up))
            for a, w, up in spine
        ]  # fmt: skip
        for (l0, r0), (l1, r1) in pairwise(rows):
            corners = [r0, r1, l1, l0]
            pile.facet([p for i, p in enumerate(corners) if p != corners[i - 1]], GREEN)
    return pile.faces


def _cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _unit(a: Sequence[float]) -> Vector:
    size = math.sqrt(sum(x * x for x in a)) or 1.0
    return (a[0] / size, a[1] / size, a[2] / size)


__all__ = ["ball", "cat", "curtain", "fan_head", "fan_stand", "leaves", "limb", "loft", "person", "pot", "ring"]
