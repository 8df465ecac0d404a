"""Textures: between black and white, softer with a larger footprint, and the same on average."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame import finishes
from scoring.frame.finishes import Finish, table
from scoring.frame.noise import SIDE, edge, grain, kept, lines, tile
from scoring.frame.textures import reflectance, swatch

NO_PATTERN = ("OPAQUE", "MIRROR", "GLASS", "LAMP", "LACE", "COLUMNS")
PATTERNS = {
    name: value
    for name, value in vars(finishes).items()
    if name.isupper() and isinstance(value, int) and name not in NO_PATTERN
}
EVERYWHERE_ALIKE = sorted(set(PATTERNS) - {"BOOKS", "PICTURE", "RUG", "PAPER", "WATER"})


def some(name: str) -> Finish:
    """A finish of that pattern."""
    return Finish(PATTERNS[name], (0.4, 0.3, 0.2), (0.15, 0.12, 0.1), (0.3, 0.15), 0.4, 77)


@pytest.mark.parametrize("name", sorted(PATTERNS))
def test_a_reflectance_lies_between_black_and_white_at_every_footprint(name: str) -> None:
    rows, dice = table([some(name)]), np.random.default_rng(1)
    for u, v, f in zip(
        dice.uniform(-9, 9, 300), dice.uniform(-9, 9, 300), 10.0 ** dice.uniform(-4, 1, 300), strict=True
    ):
        rgb = reflectance(rows, 0, tile(), float(u), float(v), float(f), float(f) * 1.5)
        assert all(0.0 <= part <= 0.95 for part in rgb), (name, u, v, f, rgb)


@pytest.mark.parametrize("name", EVERYWHERE_ALIKE)
def test_from_far_off_a_pattern_is_the_mean_of_what_it_is_near_by(name: str) -> None:
    rows = table([some(name)])
    near = swatch(some(name), 240, 240, 6.0).mean(axis=(0, 1))
    far = np.mean([reflectance(rows, 0, tile(), x, y, 3.0, 3.0) for x in (1.0, 2.7, 4.4) for y in (1.3, 4.1)], axis=0)
    assert far == pytest.approx(near, rel=0.12)


@pytest.mark.parametrize("name", ["PLANK", "TILE", "BRICK", "CARPET", "WEAVE", "PLASTER", "WOOD"])
def test_a_pattern_flattens_as_its_footprint_grows(name: str) -> None:
    rows = table([some(name)])
    dice = np.random.default_rng(4)
    spots = dice.uniform(0.0, 6.0, (400, 2))
    spread = [
        np.std([reflectance(rows, 0, tile(), float(u), float(v), f, f)[0] for u, v in spots])
        for f in (0.001, 0.03, 1.0)
    ]
    assert spread[0] > spread[1] > spread[2]
    assert spread[2] < 0.25 * spread[0]


def test_the_tile_of_noise_joins_itself_without_a_seam_and_keeps_its_mean_at_all_sizes() -> None:
    flat = tile()
    first = flat[: SIDE * SIDE].reshape(SIDE, SIDE)
    within = np.abs(np.diff(first, axis=1)).mean()
    assert np.abs(first[:, 0] - first[:, -1]).mean() < 1.6 * within
    assert np.abs(first[0] - first[-1]).mean() < 1.6 * within
    offset, side = 0, SIDE
    while side >= 1:
        part = flat[offset : offset + side * side]
        assert part.mean() == pytest.approx(0.0, abs=1e-4)
        offset, side = offset + side * side, side // 2
    assert offset == len(flat)


def test_noise_repeats_only_after_its_whole_tile() -> None:
    wave = 0.32
    long = SIDE / 32 * wave
    assert grain(tile(), 0.123, 0.4, wave, -9.0, 3) == pytest.approx(
        grain(tile(), 0.123 + long, 0.4, wave, -9.0, 3), abs=1e-6
    )
    assert grain(tile(), 0.123, 0.4, wave, -9.0, 3) != pytest.approx(
        grain(tile(), 0.123 + long / 2, 0.4, wave, -9.0, 3)
    )
    assert grain(tile(), 0.1, 0.1, wave, 8.0, 3) == 0.0


def test_lines_cover_their_exact_share_of_a_pixel() -> None:
    assert lines(0.5, 1.0, 0.1, 1.0) == pytest.approx(0.1)
    assert lines(0.05, 1.0, 0.1, 0.02) == pytest.approx(1.0)
    assert lines(0.5, 1.0, 0.1, 0.02) == pytest.approx(0.0)
    assert lines(0.1, 1.0, 0.1, 0.1) == pytest.approx(0.5)
    assert lines(-0.9, 1.0, 0.1, 0.1) == pytest.approx(0.5)
    assert edge(1.0, 1.0, 0.2) == pytest.approx(0.5)
    assert (kept(0.1, 0.01), kept(0.1, 0.05), kept(0.1, 0.09)) == (1.0, pytest.approx(0.5), 0.0)
