"""Scenes: what a plan becomes."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from scoring.floor.shapes import FOOTPRINT_BASE_M
from scoring.frame.assemble import faces_of
from scoring.frame.bodies import body_of, set_down
from scoring.frame.figures import cat
from scoring.frame.finishes import GLASS, PLAIN, Finish
from scoring.frame.furnish_green import CROWN_FROM_M
from scoring.frame.scene import build_scene, evenly_lit, owners, scene_of, with_movers
from scoring.frame.solids import (
    ALL_SHOTS,
    CEILING,
    COUNTED,
    FLOOR,
    LEAF,
    PRISM,
    REVEAL,
    SOLID,
    THING,
    WALL,
    Pile,
    box_of,
)
from scoring.frame.trace import first_hits
from tests.scoring.frame.floor_hits import FLOORS, place_of, scene_of_floor

GREY = Finish(PLAIN, (0.5, 0.5, 0.5))
OPEN = ("plant", "tree", "lamp")
"""Leaves have one side, and shades are open above and below."""
RAYS = 1000
SLIPS, FEW = 0.01, 3
"""Share and number of rays that may see the inside of anything else: coats on a rail and chairs are open below."""


@pytest.mark.parametrize("name", FLOORS)
def test_things_stay_inside_the_blocks_that_the_sight_engine_counts(name: str) -> None:
    place = place_of(name)
    scene = scene_of_floor(name, 0)
    names = owners(place.plan)
    storey = place.storeys[0]
    solids = {solid.id: solid for solid in storey.solids[: len(storey.level.things)]}
    trees = {thing.id for thing in storey.level.things if thing.kind == "tree"}
    first = len(storey.level.spaces) + len(storey.level.openings)
    mine = (scene.part == THING) & (scene.owner >= first) & (scene.owner < first + len(solids))
    for face in np.flatnonzero(mine):
        thing = names[scene.owner[face]]
        solid = solids[thing]
        corners = corners_of(scene, face)
        if thing in trees and corners[:, 2].max() > storey.level.elevation_m + CROWN_FROM_M - 0.2:
            continue
        far = shapely.distance(solid.polygon, shapely.points(corners[:, :2])).max()
        assert far < 2e-3, f"{thing} reaches {far * 1e3:.1f} mm out of its outline"
        assert corners[:, 2].min() > solid.base - 1e-6, f"{thing} reaches under its base"
        assert corners[:, 2].max() < solid.top + 2e-3, f"{thing} reaches over its top"


def corners_of(scene, face):  # type: ignore[no-untyped-def]
    """Corners of the pieces of a face, from the planes that the tracer reads."""
    rows = scene.planes[scene.piece_of[scene.piece_start[face] : scene.piece_start[face + 1]]]
    found = []
    for row in rows:
        frame = np.array([row[0:3], row[4:7], row[8:11]])
        ends = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)) + (((1.0, 1.0),) if row[12] > 2.0 else ())
        found += [np.linalg.solve(frame, [row[3], a + row[7], b + row[11]]) for a, b in ends]
    return np.array(found)


def test_a_space_has_one_floor_face_and_a_flat_ceiling_is_one_too() -> None:
    place = place_of("studio")
    scene = scene_of_floor("studio", 0)
    rooms = place.storeys[0].rooms
    for k, room in enumerate(rooms):
        floor = (scene.owner == k) & (scene.part == FLOOR) & (scene.seen & np.uint32(COUNTED) > 0)
        assert floor.sum() == 1
        assert scene.area_m2[floor][0] == pytest.approx(room.polygon.area, abs=1e-6)
        ceiling = (scene.owner == k) & (scene.part == CEILING)
        assert ceiling.sum() == 1
        assert scene.normal[ceiling][0] == pytest.approx((0.0, 0.0, -1.0))


def test_a_sloped_ceiling_is_cut_exactly() -> None:
    place = place_of("attic")
    scene = scene_of_floor("attic", 1)
    room = next(r for r in place.storeys[1].rooms if r.space.id == "studio")
    dice = np.random.default_rng(3)
    x, y = dice.uniform(0.1, 8.3, 200), dice.uniform(0.1, 0.9, 200)
    at = np.column_stack([x, y, np.full(200, room.floor + 0.9)])
    faces, far = first_hits(scene, at, np.tile([0.0, 0.0, 1.0], (200, 1)), COUNTED)
    high = np.array([room.ceiling_at(*p) for p in zip(x, y, strict=True)])
    assert (scene.part[faces] == CEILING).all()
    assert at[:, 2] + far == pytest.approx(high, abs=1e-9)


def test_a_stairwell_is_open_to_the_ceiling_of_the_upper_level() -> None:
    place = place_of("two-storey-dogleg")
    scene = scene_of_floor("two-storey-dogleg", 0)
    run = place.runs[0]
    middle = run.polygon.centroid
    _, far = first_hits(scene, np.array([middle.x, middle.y, run.head + 0.5]), np.array([[0.0, 0.0, 1.0]]), SOLID)
    assert run.head + 0.5 + far[0] == pytest.approx(run.top, abs=1e-6)


def test_light_passes_panes_and_the_count_passes_none_over_a_sill() -> None:
    scene = scene_of_floor("studio", 0)
    glass = scene.finishes[scene.finish, 11] == GLASS
    assert glass.any()
    assert not (scene.seen[glass] & np.uint32(SOLID)).any()
    assert (scene.seen[glass] & np.uint32(1)).all()
    blocks = scene.part == PRISM
    assert (scene.seen[blocks] == COUNTED).all()


def test_the_same_seed_makes_the_same_scene_and_another_one_other_colours() -> None:
    plan = place_of("studio").plan
    one, two, other = (build_scene(plan, 0, seed=seed) for seed in (5, 5, 6))
    for name, a, b in zip(one._fields, one, two, strict=True):
        assert np.array_equal(a, b), name
    assert one.finishes.shape != other.finishes.shape or not np.array_equal(one.finishes, other.finishes)


def test_a_mover_is_seen_by_its_own_shots_alone() -> None:
    plan = place_of("studio").plan
    pile = Pile()
    pile.prism(box_of(2.3, 2.9, 2.7, 3.1), 0.2, 1.9, GREY)
    scene = with_movers(build_scene(plan, 0, seed=5), [(body_of(pile.faces), 0b10)])
    at, ahead = np.array([2.5, 2.5, 1.5]), np.array([[0.0, 1.0, 0.0]])
    assert first_hits(scene, at, ahead, 0b10)[1][0] == pytest.approx(0.4)
    for bit in (0b1, COUNTED, SOLID):
        assert first_hits(scene, at, ahead, bit)[1][0] > 0.5
    assert ALL_SHOTS & (COUNTED | SOLID) == 0


def test_movers_bring_a_tree_of_their_own_and_are_met_as_in_one_tree_with_all_the_rest() -> None:
    plan, home = place_of("studio").plan, (0.0, 0.0, 0.0, 5.0)
    still, body = faces_of(plan, 0, 5), cat()
    whole = scene_of([*still, *(face._replace(seen=0b10) for face in body)], home)
    joined = with_movers(scene_of(still, home), [(body_of(body), 0b10)])
    rng = np.random.default_rng(17)
    starts = rng.uniform((-2.0, -2.0, 0.05), (2.0, 2.0, 0.8), (20_000, 3))
    toward = rng.normal((0.0, 0.0, 0.2), 0.2, (20_000, 3)) - starts
    for bit in (0b10, 0b1):
        (met, way), (other, long) = first_hits(joined, starts, toward, bit), first_hits(whole, starts, toward, bit)
        assert np.array_equal(met, other)
        assert np.array_equal(way, long)
        assert (met >= len(still)).any() == (bit == 0b10)
    for face in range(len(still), len(joined.corner)):
        own = [part.piece_of[part.piece_start[face] : part.piece_start[face + 1]] for part in (joined, whole)]
        assert np.array_equal(joined.planes[own[0]], whole.planes[own[1]])


def test_a_body_is_set_down_turned_counter_clockwise() -> None:
    body = body_of(cat())
    moved = set_down(body, (3.0, 1.0, 0.2), 90.0)
    nose, tip = (one.corner[body.corner[:, 0].argmax()] for one in (body, moved))
    assert tip == pytest.approx((3.0 - nose[1], 1.0 + nose[0], 0.2 + nose[2]))
    assert np.allclose(np.cross(moved.u, moved.v)[:, 2], np.cross(body.u, body.v)[:, 2])


def test_an_even_light_has_a_node_for_every_face() -> None:
    scene = scene_of_floor("studio", 0)
    lit = evenly_lit(scene, 80.0)
    assert len(lit.start) == len(lit.across) == len(lit.glow) == len(scene.corner)
    assert (lit.glow == 80.0).all()


def test_what_hangs_high_leaves_floor_under_it() -> None:
    assert FOOTPRINT_BASE_M < 0.5
    scene = scene_of_floor("studio", 0)
    place = place_of("studio")
    cupboard = next(t for t in place.plan.levels[0].things if t.base_m > 1.0)
    middle = Polygon(cupboard.outline).centroid
    z = place.storeys[0].solids[place.plan.levels[0].things.index(cupboard)].base
    _, far = first_hits(scene, np.array([middle.x, middle.y, z - 0.01]), np.array([[0.0, 0.0, -1.0]]), COUNTED)
    assert far[0] > 0.05


@pytest.mark.parametrize(("name", "level"), [("attic", 1), ("great-house", 0), ("split-level", 0), ("tiny-rooms", 0)])
def test_no_room_sees_the_back_of_its_shell(name: str, level: int) -> None:
    place = place_of(name)
    scene = scene_of_floor(name, level)
    rays = np.random.default_rng(6).normal(size=(3000, 3))
    for room in place.storeys[level].rooms:
        spot = room.polygon.representative_point()
        faces, _ = first_hits(scene, np.array([spot.x, spot.y, room.floor + 1.5]), rays, SOLID)
        hit = faces >= 0
        shell = np.isin(scene.part[faces[hit]], (FLOOR, CEILING, WALL, REVEAL, LEAF)) & (scene.owner[faces[hit]] >= 0)
        slant = (scene.normal[faces[hit]] * rays[hit]).sum(axis=1)
        assert (slant[shell] <= 1e-9).all(), room.space.id


@pytest.mark.parametrize("name", FLOORS)
def test_nobody_looks_into_a_thing(name: str) -> None:
    """Furniture is closed to all who stand about it: an open top shows the inside of a box."""
    dice = np.random.default_rng(7)
    place = place_of(name)
    for level, storey in enumerate(place.storeys):
        scene = scene_of_floor(name, level)
        names = owners(place.plan)
        for thing, solid in zip(storey.level.things, storey.solids, strict=False):
            if thing.kind in OPEN:
                continue
            x0, y0, x1, y1 = solid.polygon.bounds
            aims = dice.uniform((x0, y0, solid.base), (x1, y1, solid.top), (RAYS, 3))
            turns = dice.uniform(0.0, 2.0 * np.pi, RAYS)
            heights = dice.uniform(solid.base + 0.3, solid.base + 1.9, RAYS)
            away = 0.6 * max(x1 - x0, y1 - y0) + 0.5
            middle = 0.5 * np.array([x0 + x1, y0 + y1])
            eyes = np.column_stack([middle + away * np.stack([np.cos(turns), np.sin(turns)], axis=1), heights])
            faces, _ = first_hits(scene, eyes, aims - eyes, 1)
            own = (faces >= 0) & (scene.part[faces] == THING) & (scene.owner[faces] == names.index(thing.id))
            slant = (scene.normal[faces[own]] * (aims - eyes)[own]).sum(axis=1)
            assert (slant > 1e-9).sum() <= SLIPS * own.sum() + FEW, f"{thing.id} is open to who stands about it"
