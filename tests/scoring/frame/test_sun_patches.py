"""Edges of sun: straight where what casts them is straight, and dimmed by the panes on the way."""

from __future__ import annotations

from math import radians, tan

import numpy as np
import pytest

from scoring.frame.solids import Pile
from scoring.frame.sun_patches import SunShare, no_sun, sun_share
from scoring.light.sun import Sun, toward_sun
from tests.scoring.frame.lit_rooms import built, grey, inside_of, pane

ROOM = (4.0, 5.0, 2.6)
WINDOW = (1.0, 3.0, 0.9, 2.1)


def share_at(sun: SunShare, s_m: float, t_m: float) -> float:
    """Share of the sun on the floor, bilinear between its nodes."""
    m, n = int(sun.across[0]), int(sun.along[0])
    first = int(sun.start[0])
    grid = sun.share[first : first + m * n].reshape(n, m)
    x, y = s_m / ROOM[0] * (m - 1), t_m / ROOM[1] * (n - 1)
    i, j = int(x), int(y)
    fx, fy = x - i, y - j
    low = grid[j, i] * (1 - fx) + grid[j, i + 1] * fx
    high = grid[j + 1, i] * (1 - fx) + grid[j + 1, i + 1] * fx
    return float(low * (1 - fy) + high * fy)


@pytest.mark.parametrize("azimuth_deg", [200.0, 217.0, 230.0])
def test_a_slanting_edge_is_a_straight_line_without_steps(azimuth_deg: float) -> None:
    """Where half of the sun is seen must not leave the jamb's shadow line by a centimetre."""
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8), WINDOW)
    scene = built(pile)
    sun = sun_share(scene, toward_sun(Sun(azimuth_deg, 30.0), 90.0), 0.2666)
    slant = tan(radians(azimuth_deg - 180.0))
    for y in np.arange(1.6, 2.25, 0.013):
        x = np.arange(1.0 + slant * y - 0.1, 1.0 + slant * y + 0.1, 0.002)
        along = np.array([share_at(sun, at, y) for at in x])
        edge = x[np.argmin(np.abs(along - 0.5))]
        assert edge == pytest.approx(1.0 + slant * y, abs=0.01)


def test_a_pane_dims_the_sun_by_its_own_share() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8), WINDOW)
    pane(pile, WINDOW, (0.7, 0.8, 0.9))
    scene = built(pile)
    sun = sun_share(scene, toward_sun(Sun(180.0, 30.0), 90.0), 0.2666)
    assert share_at(sun, 2.0, 2.5) == pytest.approx(0.8)
    assert share_at(sun, 2.0, 0.5) == 0.0


def test_no_sun_reaches_nothing() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8))
    scene = built(pile)
    assert (no_sun(scene).start == -1).all()
    assert (sun_share(scene, toward_sun(Sun(180.0, 30.0), 90.0), 0.2666).start[:6] == -1).all()
