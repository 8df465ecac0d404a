"""Guards of bare polygons against the theorems of art galleries. Sources beside each check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from scoring.floor.gallery import Gallery, GalleryError, gallery, read_rings


def comb(prongs: int) -> Polygon:
    """Chvatal's comb of 3 k corners, as in O'Rourke, Art Gallery Theorems and Algorithms, 1987, ch. 1 (from memory)."""
    ring: list[tuple[float, float]] = [(0, 0), (1, 9), (2, 1)]
    for i in range(1, prongs):
        ring += [(4 * i, 1), (4 * i + 1, 9), (4 * i + 2, 1)]
    ring[-1] = (ring[-1][0], 0)
    return Polygon(ring)


def star(seed: int, corners: int, holes: int = 0) -> Polygon:
    """A random star-shaped outline with small triangular holes."""
    rng = np.random.default_rng(seed)
    turn = 2 * math.pi * (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) / corners
    far = rng.uniform(2.0, 10.0, corners)
    shape = Polygon(np.column_stack([far * np.cos(turn), far * np.sin(turn)]))
    made = 0
    while made < holes:
        at = rng.uniform(-6, 6, 2)
        spin = rng.uniform(0, 2 * math.pi) + np.array([0.0, 2.1, 4.2])
        hole = Polygon(at + rng.uniform(0.2, 0.5) * np.column_stack([np.cos(spin), np.sin(spin)]))
        if shape.contains(hole.buffer(0.05)):
            shape = shape.difference(hole)
            made += 1
    return shape


def orthogonal(seed: int, cells: int) -> Polygon:
    """A random union of unit squares without holes, grown one square at a time; all corners at right angles."""
    rng = np.random.default_rng(seed)
    taken = {(0, 0)}
    shape = box(0, 0, 1, 1)
    while len(taken) < cells:
        x, y = sorted(taken)[rng.integers(len(taken))]
        dx, dy = [(1, 0), (-1, 0), (0, 1), (0, -1)][rng.integers(4)]
        step = (x + dx, y + dy)
        grown = unary_union([shape, box(step[0], step[1], step[0] + 1, step[1] + 1)])
        # Squares that meet in a corner alone would pinch the outline.
        wider, closer = grown.buffer(0.01, join_style="mitre"), grown.buffer(-0.01, join_style="mitre")
        whole = closer.geom_type == "Polygon" and not wider.interiors
        if step not in taken and grown.geom_type == "Polygon" and not grown.interiors and whole:
            taken.add(step)
            shape = grown
    return shape.simplify(0)


def corners(polygon: Polygon) -> int:
    return sum(len(ring.coords) - 1 for ring in (polygon.exterior, *polygon.interiors))


def sound(found: Gallery) -> None:
    assert found.lower <= found.upper == len(found.guards)
    assert found.unseen_share < 1e-5


@pytest.mark.parametrize("prongs", range(2, 8))
def test_a_comb_of_k_prongs_takes_exactly_k(prongs: int) -> None:
    found = gallery(comb(prongs))
    sound(found)
    assert (found.lower, found.upper) == (prongs, prongs)


@pytest.mark.parametrize("seed", range(12))
def test_no_simple_polygon_takes_more_than_a_third_of_its_corners(seed: int) -> None:
    """floor(n/3): Chvatal 1975, J. Combin. Theory B 18, 39-41 (read second-hand)."""
    polygon = star(seed, 9 + seed % 10)
    found = gallery(polygon)
    sound(found)
    assert found.upper <= corners(polygon) // 3


@pytest.mark.parametrize("seed", range(12))
def test_no_orthogonal_polygon_takes_more_than_a_quarter(seed: int) -> None:
    """floor(n/4): Kahn, Klawe, Kleitman 1983, SIAM J. Alg. Disc. Meth. 4, 194-206 (abstract read)."""
    polygon = orthogonal(seed, 8 + seed)
    found = gallery(polygon)
    sound(found)
    assert found.lower <= max(1, corners(polygon) // 4)
    assert found.upper <= max(1, corners(polygon) // 4)


@pytest.mark.parametrize("seed", range(6))
def test_holes_add_no_more_than_a_third_each(seed: int) -> None:
    """floor((n + h)/3): Bjorling-Sachs, Souvaine 1995; Hoffmann, Kaufmann, Kriegel 1991 (read second-hand)."""
    holes = 1 + seed % 3
    polygon = star(100 + seed, 12, holes)
    found = gallery(polygon)
    sound(found)
    assert found.upper <= (corners(polygon) + holes) // 3


def test_a_convex_room_takes_one() -> None:
    found = gallery(Polygon([(0, 0), (4, 0), (5, 3), (1, 4)]))
    assert (found.lower, found.upper) == (1, 1)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ({}, "expected"),
        ({"rings": [[[0, 0], [1, 0]]]}, "three corners"),
        ({"rings": [[[0, 0], [1, 1], [1, 0], [0, 1]]]}, "not a simple polygon"),
        ({"rings": [[[0, 0], [1, float("nan")], [1, 0]]]}, "finite"),
    ],
)
def test_a_bad_polygon_is_told_why(value: dict[str, object], words: str) -> None:
    with pytest.raises(GalleryError, match=words):
        read_rings(value)
