"""Guards of bare polygons against the theorems of art galleries. Sources beside each check."""

from __future__ import annotations

import math

import networkx as nx
import numpy as np
import pytest
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from scoring.floor.gallery import Company, Gallery, GalleryError, gallery, read_rings


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


def crooked(seed: int, count: int) -> Polygon:
    """Random corners joined in a random order, each crossing undone by turning the way between round; no holes."""
    at = np.random.default_rng(seed).uniform(0.0, 10.0, (count, 2))
    while (crossing := _crossing(at)) is not None:
        i, j = crossing
        at[i + 1 : j + 1] = at[i + 1 : j + 1][::-1]
    return Polygon(at)


def _crossing(at: np.ndarray) -> tuple[int, int] | None:
    ring = np.vstack([at, at[:1]])
    sides = [LineString(ring[i : i + 2]) for i in range(len(at))]
    pairs = [(i, j) for i in range(len(at)) for j in range(i + 2, len(at)) if (i, j) != (0, len(at) - 1)]
    return next((pair for pair in pairs if sides[pair[0]].intersects(sides[pair[1]])), None)


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
    for polygon in (star(seed, 9 + seed % 10), crooked(seed, 9 + 2 * seed)):
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


def in_company(polygon: Polygon, found: Gallery, company: Company) -> nx.Graph:
    """The sight graph of guards by another program: each with another, or all in one piece."""
    sound(found)
    sight = nx.Graph()
    sight.add_nodes_from(range(found.upper))
    for i, a in enumerate(found.guards):
        sight.add_edges_from((i, j) for j in range(i) if polygon.covers(LineString([a, found.guards[j]])))
    assert found.upper >= 2
    assert min(dict(sight.degree).values()) >= 1
    assert company != "connected" or nx.is_connected(sight)
    return sight


@pytest.mark.parametrize("seed", range(18))
def test_guards_that_each_see_another_stay_within_the_bound(seed: int) -> None:
    """floor((3n - 1)/7), simple polygons, n >= 5: Michael, Pinciu 2003, Comput. Geom. 26, 247-258 (abstract read)."""
    polygon = crooked(seed, 7 + seed)
    found = gallery(polygon, company="seen")
    in_company(polygon, found, "seen")
    assert found.upper <= (3 * corners(polygon) - 1) // 7


@pytest.mark.parametrize("seed", range(12))
def test_orthogonal_guards_that_each_see_another_stay_within_a_third(seed: int) -> None:
    """floor(n/3), orthogonal, n >= 6: Hernandez-Penalver; new proof in Michael, Pinciu 2003 (abstract read)."""
    polygon = orthogonal(seed, 8 + seed)
    found = gallery(polygon, company="seen")
    in_company(polygon, found, "seen")
    assert found.upper <= corners(polygon) // 3


@pytest.mark.parametrize("seed", range(18))
def test_connected_guards_stay_below_half_the_corners(seed: int) -> None:
    """floor(n/2) - 1, simple polygons: as stated in Florentino, Moy, Muth, arXiv 2007.03737 (abstract read)."""
    polygon = crooked(seed, 7 + seed)
    found = gallery(polygon, company="connected")
    in_company(polygon, found, "connected")
    assert found.upper <= corners(polygon) // 2 - 1


@pytest.mark.parametrize("prongs", range(2, 7))
def test_a_comb_meets_the_bounds_of_company_where_they_are_tight(prongs: int) -> None:
    """Each prong takes a guard of its own, and with two and three prongs both bounds are exactly that."""
    polygon = comb(prongs)
    n = corners(polygon)
    for company, bound in (("seen", (3 * n - 1) // 7), ("connected", n // 2 - 1)):
        found = gallery(polygon, company=company)
        in_company(polygon, found, company)
        assert (found.lower, found.upper) == (prongs, prongs)
        assert found.upper == bound if prongs <= 3 else found.upper <= bound


def test_company_costs_a_guard_where_one_alone_would_do() -> None:
    room = Polygon([(0, 0), (4, 0), (5, 3), (1, 4)])
    found = gallery(room, company="connected")
    in_company(room, found, "connected")
    assert (found.lower, found.upper) == (2, 2)


def test_a_search_without_time_still_names_guards_that_see_all() -> None:
    polygon = crooked(12, 20)
    for company in ("none", "seen", "connected"):
        found = gallery(polygon, company=company, limit_s=0.0, clock=lambda: 0.0)
        assert found.unseen_share < 1e-5
        assert 1 <= found.lower <= found.upper == len(found.guards)


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
