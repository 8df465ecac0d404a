"""Nodes stand on their faces, and what is not on a face borrows from what is."""

from __future__ import annotations

import numpy as np
import shapely

from scoring.frame.lattice import OFF, ON, lay_lattice, open_floors, sources_of
from scoring.frame.solids import CEILING, FLOOR, Pile, box_of
from tests.scoring.frame.lit_rooms import built, grey, inside_of, land, pane

WINDOW = (1.0, 3.0, 0.9, 2.1)


def l_shaped() -> Pile:
    pile = Pile()
    pile.owner, pile.part = 0, FLOOR
    pile.level(box_of(0.0, 0.0, 4.0, 4.0).difference(box_of(2.0, 2.0, 4.0, 4.0)), 0.0, grey(0.5))
    return pile


def test_nodes_of_an_l_shaped_floor_are_on_it_and_clear_of_its_rim_as_a_polygon_says() -> None:
    scene = built(l_shaped())
    lattice = lay_lattice(scene)
    region = box_of(0.0, 0.0, 4.0, 4.0).difference(box_of(2.0, 2.0, 4.0, 4.0))
    inside = shapely.covers(region.buffer(-0.017, join_style="mitre"), shapely.points(lattice.point[:, :2]))
    np.testing.assert_array_equal(lattice.state == ON, inside)
    assert 0.2 < (lattice.state == OFF).mean() < 0.33


def test_nodes_are_sampled_inside_the_rim_and_over_the_plane() -> None:
    scene = built(l_shaped())
    points = lay_lattice(scene).point
    assert points[:, :2].min() > 0.0
    assert points[:, :2].max() < 4.0
    assert (points[:, 2] > 0.0).all()


def test_what_is_off_a_face_takes_the_nearest_node_that_is_on_it() -> None:
    lattice = lay_lattice(built(l_shaped()))
    source = sources_of(lattice.across, lattice.along, lattice.start, lattice.state)
    assert (lattice.state[source] == ON).all()
    on = lattice.state == ON
    np.testing.assert_array_equal(source[on], np.flatnonzero(on))
    away = np.abs(lattice.point[source] - lattice.point)[:, :2].sum(axis=1)
    corner = np.flatnonzero(~on)
    nearest = np.minimum(*(2.0 * np.ones(len(corner)) - (4.0 - lattice.point[corner, k]) for k in (0, 1)))
    assert (away[corner] < nearest + 0.6).all()


def test_patches_part_a_face_into_blocks_of_their_own() -> None:
    pile = Pile()
    inside_of(pile, 4.0, 5.0, 2.6, grey(0.3), grey(0.5), grey(0.8), WINDOW)
    pane(pile, WINDOW, (0.9, 0.9, 0.9))
    scene = built(pile)
    lattice = lay_lattice(scene)
    lit = lattice.patch >= 0
    np.testing.assert_array_equal(lattice.patch_face[lattice.patch[lit]], lattice.face[lit])
    assert len(np.unique(lattice.patch[lit])) == len(lattice.patch_face)
    assert (lattice.patch[lattice.face == len(scene.corner) - 1] == -1).all(), "a pane takes no light"
    across_m = np.ptp(lattice.point[lattice.patch == 0][:, :2], axis=0)
    assert (across_m < 0.8).all()


def test_floors_without_a_ceiling_are_open() -> None:
    pile = Pile()
    pile.owner, pile.part = 0, FLOOR
    pile.level(box_of(0.0, 0.0, 2.0, 2.0), 0.0, grey(0.5))
    pile.part = CEILING
    pile.level(box_of(0.0, 0.0, 2.0, 2.0), 2.5, grey(0.5), up=False)
    pile.owner, pile.part = 1, FLOOR
    pile.level(box_of(3.0, 0.0, 5.0, 2.0), 0.0, grey(0.5))
    land(pile, 20.0, grey(0.2))
    assert open_floors(built(pile)).tolist() == [False, False, True, False]
