"""How rooms are decorated: floor, walls, ceiling and woodwork by use, varied by a seed and the room's id."""

from __future__ import annotations

import zlib
from typing import NamedTuple, TypeVar

import numpy as np

from scoring.floor.plan import Space
from scoring.frame.finishes import (
    ASPHALT,
    BRICK,
    CARPET,
    GLASS,
    GRASS,
    GRAVEL,
    MIRROR,
    PAPER,
    PLAIN,
    PLANK,
    PLASTER,
    TILE,
    WATER,
    Finish,
    Rgb,
)

T = TypeVar("T")

WHITE: Rgb = (0.80, 0.79, 0.76)
WOODWORK = Finish(PLAIN, (0.78, 0.77, 0.74))
PANE = Finish(PLAIN, (0.88, 0.91, 0.89), optic=GLASS)
SILVERED = Finish(PLAIN, (0.86, 0.88, 0.87), optic=MIRROR)

OAKS: tuple[Rgb, ...] = ((0.42, 0.29, 0.17), (0.36, 0.235, 0.13), (0.50, 0.38, 0.25), (0.27, 0.165, 0.095))
WALLS: tuple[Rgb, ...] = (
    (0.72, 0.70, 0.65), (0.68, 0.68, 0.66), (0.62, 0.655, 0.62), (0.70, 0.655, 0.58), (0.58, 0.63, 0.67),
    (0.73, 0.72, 0.70), (0.66, 0.60, 0.54),
)  # fmt: skip
PAPERS: tuple[tuple[Rgb, Rgb], ...] = (
    ((0.66, 0.64, 0.57), (0.50, 0.52, 0.46)), ((0.58, 0.62, 0.62), (0.42, 0.49, 0.52)),
    ((0.70, 0.63, 0.57), (0.58, 0.47, 0.42)),
)  # fmt: skip
TILES: tuple[Rgb, ...] = ((0.62, 0.61, 0.58), (0.40, 0.41, 0.41), (0.58, 0.52, 0.44), (0.33, 0.36, 0.38))
CARPETS: tuple[Rgb, ...] = ((0.42, 0.39, 0.35), (0.30, 0.33, 0.36), (0.45, 0.41, 0.33), (0.36, 0.38, 0.33))

LAWN: tuple[Rgb, Rgb] = (0.065, 0.11, 0.035), (0.12, 0.15, 0.055)
"""Mown grass, green and dry: a tenth of the light at most, so that it tints ceilings and does not dye them."""

WET = frozenset({"bath", "wc", "kitchen", "utility", "store"})
SOFT = frozenset({"bedroom", "study", "landing", "half-landing", "attic"})


class Look(NamedTuple):
    """The finishes of one space."""

    floor: Finish
    walls: Finish
    ceiling: Finish


def dice_of(seed: int, name: str) -> np.random.Generator:
    """Chance that depends on a seed and a name alone."""
    return np.random.Generator(np.random.PCG64((seed & 0xFFFFFFFF, zlib.crc32(name.encode()))))


def pick(dice: np.random.Generator, options: tuple[T, ...]) -> T:
    """One of several."""
    return options[int(dice.integers(len(options)))]


def look_of(space: Space, seed: int) -> Look:
    """How a space is decorated."""
    dice = dice_of(seed, space.id)
    house = dice_of(seed, "house")
    oak = pick(house, OAKS)
    grain = int(dice.integers(65536))
    ceiling = Finish(PLASTER, WHITE, strength=0.25, seed=grain)
    if space.outdoor:
        return Look(_ground(space.use, grain), Finish(PLASTER, (0.6, 0.58, 0.54), seed=grain), ceiling)
    if space.use in WET:
        tile = pick(dice, TILES)
        wide = pick(dice, ((0.30, 0.30), (0.45, 0.45), (0.60, 0.30)))
        floor = Finish(TILE, tile, (0.30, 0.29, 0.28), wide, 0.25, grain)
        if space.use in ("bath", "wc"):
            size = pick(dice, ((0.2, 0.1), (0.15, 0.15), (0.3, 0.6)))
            walls = Finish(TILE, (0.74, 0.75, 0.74), (0.55, 0.55, 0.54), size, 0.08, grain)
        else:
            walls = Finish(PLASTER, pick(dice, WALLS), strength=0.3, seed=grain)
        return Look(floor, walls, ceiling)
    if space.use == "garage":
        brick = Finish(BRICK, (0.62, 0.60, 0.57), (0.55, 0.54, 0.52), (0.225, 0.075), 0.25, grain)
        return Look(Finish(ASPHALT, (0.32, 0.32, 0.31), strength=0.3, seed=grain), brick, ceiling)
    soft = space.use in SOFT and dice.random() < 0.5
    if soft:
        floor = Finish(CARPET, pick(dice, CARPETS), strength=0.4, seed=grain)
    else:
        floor = Finish(PLANK, oak, (0.06, 0.04, 0.025), (1.4, 0.14), 0.45, int(house.integers(65536)))
    if dice.random() < 0.25:
        ground, figure = pick(dice, PAPERS)
        walls = Finish(PAPER, ground, figure, (0.32, 0.32), 0.5, grain)
    else:
        walls = Finish(PLASTER, pick(dice, WALLS), strength=0.3, seed=grain)
    return Look(floor, walls, ceiling)


def lawn(grain: int) -> Finish:
    """Mown grass."""
    return Finish(GRASS, *LAWN, strength=0.6, seed=grain)


def _ground(use: str, grain: int) -> Finish:
    if use == "pool":
        return Finish(WATER, (0.06, 0.17, 0.20), (0.14, 0.30, 0.33), seed=grain)
    if use == "yard":
        return lawn(grain)
    if use == "drive":
        return Finish(GRAVEL, (0.34, 0.31, 0.27), (0.20, 0.18, 0.16), (0.03, 0.03), 0.6, grain)
    if use == "road":
        return Finish(ASPHALT, (0.11, 0.11, 0.11), strength=0.4, seed=grain)
    if use == "balcony":
        return Finish(PLANK, (0.30, 0.25, 0.20), (0.03, 0.025, 0.02), (2.4, 0.14), 0.4, grain)
    return Finish(TILE, (0.40, 0.385, 0.36), (0.22, 0.21, 0.19), (0.5, 0.5), 0.3, grain)


__all__ = ["PANE", "SILVERED", "WHITE", "WOODWORK", "Look", "dice_of", "lawn", "look_of", "pick"]
