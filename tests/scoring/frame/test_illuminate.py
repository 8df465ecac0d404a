"""Light on a scene against what must be: energy, integrals, trigonometry, and darkness where no light comes."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.finishes import PLAIN, Finish
from scoring.frame.illuminate import illuminate, lamp_radiance, sky_cells
from scoring.frame.paths import find_paths
from scoring.frame.scene import Lit
from scoring.frame.shade import light_at
from scoring.frame.solids import FLOOR, THING, Pile, box_of
from scoring.light.colour import luminance_of
from scoring.light.sky import level_illuminance_lx, sky_of
from scoring.light.sun import Sun, sun_position
from tests.scoring.frame.lit_rooms import (
    built,
    even_sky,
    grey,
    inside_of,
    lamp_at,
    land,
    means,
    pane,
    turned,
)

NIGHT = even_sky(0.0)
ROOM = (4.0, 5.0, 2.6)
WINDOW = (1.0, 3.0, 0.9, 2.1)


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
def test_a_closed_room_keeps_the_energy_of_its_lamp(share: float) -> None:
    """Sumpner's sphere (from memory): the light thrown to and fro has the mean F r / (A (1 - r)); 1000 lm, r 0.5 and
    A 86.8 m2 make 11.52 lx. Two bounces alone would fall short by half at r = 0.7."""
    pile = Pile()
    inside_of(pile, *ROOM, grey(share), grey(share), grey(share))
    lamp_at(pile, 2.0, 2.5, 2.59, side=0.1)
    scene = built(pile)
    lit = illuminate(scene, NIGHT, lamps=True)
    flux_lm = float((luminance_of(lamp_radiance(scene)) * scene.area_m2 * np.pi).sum())
    walls = np.arange(6)
    area = scene.area_m2[walls]
    assert area.sum() == pytest.approx(86.8)
    mean_lx = float((luminance_of(means(scene, lit))[walls] * area).sum() / area.sum())
    back_and_forth_lx = mean_lx * share * 1000.0 / flux_lm
    expected_lx = 1000.0 * share / (86.8 * (1.0 - share))
    if share == 0.5:
        assert expected_lx == pytest.approx(11.52, abs=0.005)
    assert back_and_forth_lx == pytest.approx(expected_lx, rel=0.005)


def test_every_node_of_a_closed_room_sees_exactly_one_whole_hemisphere() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.3), grey(0.5), grey(0.8))
    paths = find_paths(built(pile))
    lit_nodes = np.asarray((paths.near + paths.far).sum(axis=1)).ravel()[paths.lattice.state == 1]
    np.testing.assert_allclose(lit_nodes, 1.0, atol=1e-5)
    np.testing.assert_allclose(np.asarray(paths.exchange.sum(axis=1)).ravel(), 1.0, atol=1e-5)


def test_open_ground_under_an_overcast_sky_gets_its_illuminance() -> None:
    """The integral of Moon and Spencer's sky, 7 pi / 9 of the zenith's luminance."""
    pile = Pile()
    land(pile, 20.0, grey(0.0))
    sky = sky_of("overcast", Sun(180.0, 30.0), 90.0)
    scene = built(pile)
    lit = illuminate(scene, sky, lamps=False)
    zenith_cd_m2 = float(luminance_of(sky.table_cd_m2[-1, 0]))
    assert luminance_of(means(scene, lit))[0] == pytest.approx(7.0 * np.pi / 9.0 * zenith_cd_m2, rel=0.01)


@pytest.mark.parametrize("kind", ["clear", "broken", "overcast"])
def test_cells_of_the_sky_carry_what_its_table_carries(kind: str) -> None:
    sky = sky_of(kind, Sun(180.0, 35.0), 90.0)  # type: ignore[arg-type]
    cells = luminance_of(sky_cells(sky.table_cd_m2)).reshape(18, 36)
    edges = np.sin(np.radians(np.linspace(0.0, 90.0, 19))) ** 2
    lux = float((cells.sum(axis=1) * 0.5 * np.diff(edges)).sum() * 2.0 * np.pi / 36)
    assert lux == pytest.approx(level_illuminance_lx(luminance_of(sky.table_cd_m2)), rel=0.005)


def test_a_side_lit_room_gets_the_average_daylight_factor_of_the_rule() -> None:
    """BRE average daylight factor (Crisp and Littlefair 1984, from memory), +-20 %: T Aw theta / (A (1 - R^2)) is
    2.04 % for T 0.68, 3 m2, 65 deg of sky, R 0.5 and 4 x 5 x 2.6 m; at desk height, half a metre off the walls."""
    window = (0.5, 3.5, 1.0, 2.0)
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5), window)
    pane(pile, window, (0.68, 0.68, 0.68))
    land(pile, 150.0, grey(0.1))
    pile.quad((150.0, -20.0, 0.0), (-300.0, 0.0, 0.0), (0.0, 0.0, 1.5 + 20.0 * np.tan(np.radians(25.0))), grey(0.1))
    pile.owner, pile.part, pile.seen = 0, THING, 1
    at = [(x, y) for x in np.arange(0.75, 3.3, 0.5) for y in np.arange(0.75, 4.3, 0.5)]
    for x, y in at:
        pile.level(box_of(x - 0.01, y - 0.01, x + 0.01, y + 0.01), 0.85, grey(0.0))
    scene = built(pile)
    sky = sky_of("overcast", Sun(180.0, 30.0), 90.0)
    lit = illuminate(scene, sky, lamps=False)
    desks = luminance_of(means(scene, lit))[-len(at) :]
    factor = 100.0 * float(desks.mean()) / sky.horizontal_lx
    rule = 0.68 * 3.0 * 65.0 / (86.8 * (1.0 - 0.5**2))
    assert rule == pytest.approx(2.04, abs=0.005)
    assert factor == pytest.approx(rule, rel=0.2)


def test_what_comes_in_by_a_window_is_what_the_room_swallows() -> None:
    """A wall under Moon and Spencer's sky gets (3 pi + 8) / 14 pi = 0.396 of the ground's light, and half of what the
    ground throws back; in the room it makes a mean of T Aw E / (A (1 - R))."""
    window = (0.5, 3.5, 1.0, 2.0)
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5), window)
    pane(pile, window, (0.68, 0.68, 0.68))
    land(pile, 400.0, grey(0.1))
    scene = built(pile)
    sky = sky_of("overcast", Sun(180.0, 30.0), 90.0)
    area = scene.area_m2[:6]
    mean_lx = float((luminance_of(means(scene, illuminate(scene, sky, lamps=False)))[:6] * area).sum() / area.sum())
    on_wall_lx = ((3.0 * np.pi + 8.0) / (14.0 * np.pi) + 0.1 / 2.0) * sky.horizontal_lx
    assert mean_lx == pytest.approx(0.68 * 3.0 * on_wall_lx / (83.8 * (1.0 - 0.5) + 3.0), rel=0.05)


def test_the_sun_patch_of_a_south_window_lies_where_trigonometry_puts_it() -> None:
    """Sill 0.9 m, head 2.1 m, 21 December, noon, 40 N: from 1.80 to 4.20 m into the room."""
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8), WINDOW)
    scene = built(pile)
    noon = sun_position("2025-12-21T12:00Z", 40.0, 0.0)
    lit = illuminate(scene, sky_of("clear", Sun(180.0, noon.elevation_deg), 90.0), lamps=False)
    open_lit = _without_sky(lit)
    deep = np.arange(0.05, 4.95, 0.005)
    along = np.array([light_at(scene, open_lit, 0, 2.0, y)[1] for y in deep])
    bright = deep[along > 0.5 * along.max()]
    assert bright[0] == pytest.approx(1.80, abs=0.02)
    assert bright[-1] == pytest.approx(4.20, abs=0.02)
    across = np.array([light_at(scene, open_lit, 0, x, 3.0)[1] for x in np.arange(0.05, 3.95, 0.005)])
    wide = np.arange(0.05, 3.95, 0.005)[across > 0.5 * across.max()]
    assert (wide[0], wide[-1]) == pytest.approx((1.0, 3.0), abs=0.02)
    full_lx = float(luminance_of(np.array(open_lit.sun))) * np.pi * np.sin(np.radians(noon.elevation_deg))
    assert along.max() * np.pi == pytest.approx(full_lx, rel=0.05)


def _without_sky(lit: Lit) -> Lit:
    return lit._replace(glow=np.zeros_like(lit.glow))


def test_edges_of_sun_are_as_soft_as_half_a_degree() -> None:
    """The head's shadow falls through 2.1 / sin(el) metres of air: its edge is that times 0.53 deg / sin(el) wide."""
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8), WINDOW)
    scene = built(pile)
    lit = illuminate(scene, sky_of("clear", Sun(180.0, 26.59), 90.0), lamps=False)
    open_lit = _without_sky(lit)
    deep = np.arange(4.0, 4.4, 0.001)
    along = np.array([light_at(scene, open_lit, 0, 2.0, y)[1] for y in deep])
    share = along / along.max()
    edge_m = deep[share > 0.1][-1] - deep[share > 0.9][-1]
    sine = np.sin(np.radians(26.59))
    whole_m = 2.1 / sine * np.radians(0.533) / sine
    assert 0.5 * whole_m < edge_m < 1.5 * whole_m


def test_a_closed_room_beside_a_bright_one_stays_dark_to_its_corners() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5), WINDOW)
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5), at=(4.1, 0.0))
    land(pile, 60.0, grey(0.2))
    scene = built(pile)
    lit = illuminate(scene, sky_of("clear", Sun(190.0, 30.0), 90.0), lamps=False)
    dark = list(range(7, 13))
    for f in dark:
        glow = lit.glow[lit.start[f] : lit.start[f] + lit.across[f] * lit.along[f]]
        assert glow.max() == 0.0
        assert lit.sun_start[f] < 0
    assert means(scene, lit)[0].min() > 100.0


def test_walls_are_not_bright_or_dark_along_their_feet() -> None:
    """Light next to a corner differs little from light a hand's width from it in an evenly lit room."""
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5))
    lamp_at(pile, 2.0, 2.5, 2.59)
    scene = built(pile)
    lit = illuminate(scene, NIGHT, lamps=True)
    for x in (1.0, 2.0, 3.0):
        foot = light_at(scene, lit, 0, x, 0.0)[1]
        near = light_at(scene, lit, 0, x, 0.25)[1]
        assert foot == pytest.approx(near, rel=0.15)


def test_light_under_a_table_is_dimmer_and_fades_in_softly() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8))
    lamp_at(pile, 2.0, 2.5, 2.59)
    pile.owner, pile.part = 1, THING
    pile.prism(box_of(1.5, 2.0, 2.5, 3.0), 0.70, 0.74, grey(0.5))
    scene = built(pile)
    lit = illuminate(scene, NIGHT, lamps=True)
    along = np.array([light_at(scene, lit, 0, x, 2.5)[1] for x in np.arange(0.1, 2.01, 0.1)])
    assert along[-1] < 0.35 * along[:6].mean()
    assert np.abs(np.diff(along)).max() < 0.85 * (along.max() - along.min())


def test_a_face_whose_middle_is_inside_something_is_lit_like_what_is_next_to_it() -> None:
    """Two blocks pushed into each other: a small face has its one node inside the other block, yet half of it shows."""
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8))
    lamp_at(pile, 2.0, 2.5, 2.59)
    pile.owner, pile.part = 1, THING
    pile.prism(box_of(1.0, 1.0, 2.0, 2.0), 0.0, 0.5, grey(0.5))
    pile.prism(box_of(1.94, 1.4, 2.02, 1.48), 0.1, 0.16, grey(0.5))
    scene = built(pile)
    lit = illuminate(scene, NIGHT, lamps=True)
    top = 18
    assert scene.corner[top, 2] == 0.16
    assert scene.normal[top, 2] == 1.0
    assert find_paths(scene).lattice.state[lit.start[top]] != 1
    assert lit.glow[lit.start[top]].min() > 1.0


def test_a_red_wall_lends_its_colour_to_the_floor_beside_it() -> None:
    pile = Pile()
    red = Finish(PLAIN, (0.7, 0.1, 0.1))
    inside_of(pile, *ROOM, grey(0.6), grey(0.6), grey(0.6))
    pile.faces[3] = pile.faces[3]._replace(finish=red)
    lamp_at(pile, 2.0, 2.5, 2.59)
    scene = built(pile)
    lit = illuminate(scene, NIGHT, lamps=True)
    beside, across = (np.array(light_at(scene, lit, 0, x, 2.5)) for x in (0.15, 3.85))
    assert beside[0] / beside[1] > 1.1 * across[0] / across[1]


def test_the_same_scene_is_lit_the_same_and_a_turned_one_too() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8), WINDOW)
    land(pile, 60.0, grey(0.2))
    sky = even_sky()
    scene = built(pile)
    once, again = (illuminate(scene, sky, lamps=True).glow for _ in range(2))
    np.testing.assert_array_equal(once, again)
    other = illuminate(built(turned(pile, 37.0)), sky, lamps=True).glow
    inside = slice(0, int(find_paths(scene).lattice.start[6]))
    share = other[inside] / once[inside]
    assert np.median(np.abs(share - 1.0)) < 1e-4
    assert np.quantile(np.abs(share - 1.0), 0.95) < 0.02


def test_a_second_hour_of_one_scene_needs_no_new_rays() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8), WINDOW)
    pane(pile, WINDOW, (0.9, 0.9, 0.9))
    land(pile, 60.0, grey(0.2))
    scene = built(pile)
    paths = find_paths(scene)
    sky = sky_of("broken", Sun(220.0, 20.0), 90.0)
    kept, fresh = illuminate(scene, sky, lamps=False, paths=paths), illuminate(scene, sky, lamps=False)
    np.testing.assert_array_equal(kept.glow, fresh.glow)
    twice = illuminate(scene, even_sky(2000.0), lamps=False, paths=paths).glow
    once = illuminate(scene, even_sky(1000.0), lamps=False, paths=paths).glow
    np.testing.assert_allclose(twice, 2.0 * once, rtol=2e-3)


def test_lamps_share_what_the_floor_of_their_room_asks_for() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.4), grey(0.6), grey(0.8))
    lamp_at(pile, 1.0, 1.0, 2.59)
    lamp_at(pile, 3.0, 4.0, 2.59)
    scene = built(pile)
    flux_lm = luminance_of(lamp_radiance(scene)) * scene.area_m2 * np.pi
    assert (scene.part[flux_lm > 0.0] != FLOOR).all()
    assert flux_lm[-1] == pytest.approx(flux_lm[-2])
    assert flux_lm.sum() == pytest.approx(160.0 * 20.0)
