"""Fewest guards of a bare polygon with holes: whole area, no limit of range, standing anywhere.

For published benchmark polygons and for the theorems of art galleries; a place with rooms, doors and a standard is
``fewest``. Guards may have to keep *company*: "seen" asks that each sees another, "connected" that sight joins them
all. The input is a JSON object of our own::

    {"rings": [[[x, y], ...], [[x, y], ...]]}        the outer ring first, then the holes; not closed; metres

Bounds close in on each other as in Couto, de Rezende, de Souza and Tozoni (read: their solver's own description)::

    witnesses W   points of the polygon          lower bound: fewest places from which every one of W is seen
    guards    C   points of the polygon          upper bound: fewest of C that see all of W *and* the whole area
    a guard of C that misses area -> a witness in every piece missed; W grows until nothing is missed

The lower bound holds for guards anywhere: a guard that sees a set of witnesses stands in a face of the overlay of
their visibility polygons, and only faces that no other face outdoes (*light* faces) matter. The polygons are widened
by 1e-7 so that a boundary counts as seen. Convergence is not certain (best spots can be irrational: Abrahamsen,
Adamaszek, Miltzow, read second-hand), so a limit on rounds stands and the gap is shown. Company only adds to what
is asked: the lower bound stays true, and is 2 at the least.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import shapely
from scipy.optimize import Bounds, LinearConstraint, milp
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from scoring.floor.bands import walls
from scoring.floor.demand import Bools, Demand, Ints
from scoring.floor.greedy import greedy
from scoring.floor.prove import Lack, prove
from scoring.floor.sight import visibility
from scoring.floor.strips import table as strips

Company = Literal["none", "seen", "connected"]

WIDEN_M = 1e-7
"""Visibility polygons of witnesses are widened by this."""
SPECK_SHARE = 1e-7
"""Uncovered pieces smaller than this share of the polygon are rounding."""
ROUNDS = 30
WITNESSES_MOST = 260
FACES_MOST = 6000


class GalleryError(ValueError):
    """A polygon that cannot be read; the message says why."""


@dataclass(frozen=True, slots=True)
class Gallery:
    """Guards that see the whole polygon, and the fewest that any guards need."""

    guards: tuple[tuple[float, float], ...]
    upper: int
    lower: int
    rounds: int
    witnesses: int
    unseen_share: float
    """Share of the area that the guards miss, rounding: 0..1."""

    @property
    def proven(self) -> bool:
        """Whether no fewer guards will do."""
        return self.upper == self.lower


def read_rings(value: Mapping[str, Any]) -> Polygon:
    """The polygon of a JSON object with "rings". Raises GalleryError."""
    rings = value.get("rings") if isinstance(value, Mapping) else None
    if not isinstance(rings, list) or not rings:
        raise GalleryError('expected {"rings": [[[x, y], ...], hole, ...]}')
    for i, ring in enumerate(rings):
        if not isinstance(ring, list) or len(ring) < 3:
            raise GalleryError(f"ring {i + 1}: needs three corners or more")
        for j, corner in enumerate(ring):
            ok = isinstance(corner, list) and len(corner) == 2 and all(isinstance(v, int | float) for v in corner)
            if not ok or not all(math.isfinite(v) and abs(v) <= 1e6 for v in corner):
                raise GalleryError(f"ring {i + 1}, corner {j + 1}: needs two finite numbers")
    polygon = orient(Polygon(rings[0], rings[1:]))
    if not polygon.is_valid or polygon.area <= 0.0:
        raise GalleryError(f"not a simple polygon: {shapely.is_valid_reason(polygon)}")
    return polygon


def gallery(
    polygon: Polygon,
    *,
    company: Company = "none",
    rounds: int = ROUNDS,
    limit_s: float = 30.0,
    clock: Callable[[], float] | None = None,
) -> Gallery:
    """Guards for a polygon, with a lower bound for guards anywhere.

    ``limit_s`` bounds each solve [s], and with a ``clock`` (seconds that only run forward) all of them together.
    """
    start = clock() if clock else 0.0

    def left() -> float:
        return max(0.0, limit_s - (clock() - start)) if clock else limit_s

    sight = _Sight(orient(polygon))
    guards = [p for p in (sight.inward(corner, bend) for corner, bend in sight.corners()) if p is not None]
    guards.append(_point(polygon.representative_point()))
    witnesses = [p for p in (sight.inward(corner, bend) for corner, bend in sight.corners() if bend > 0.0) if p]
    witnesses = witnesses or [guards[-1]]
    best: tuple[int, ...] | None = None
    lower = 1 if company == "none" else 2
    turn = 1
    while turn <= rounds and left() > 0.0:
        faces = sight.light_faces(witnesses)
        if faces is not None:
            seen, spots = faces
            lower = max(lower, _cover(seen, left())[1])
            guards += [spot for spot in spots if spot not in guards]
        chosen = _chosen(sight, guards, witnesses, company, left())
        if not chosen:
            break
        missed = sight.missed([guards[g] for g in chosen])
        if not missed and (best is None or len(chosen) < len(best)):
            best = tuple(chosen)
            if len(best) <= lower:
                break
        if not missed or len(witnesses) >= WITNESSES_MOST:
            break
        witnesses += [_point(piece.representative_point()) for piece in missed]
        turn += 1
    if best is None:
        best = _at_least(sight, guards, witnesses, company)
    spots = [guards[g] for g in best]
    unseen = sum(piece.area for piece in sight.missed(spots)) / polygon.area
    return Gallery(tuple(spots), len(best), min(lower, len(best)), min(turn, rounds), len(witnesses), unseen)


def _chosen(
    sight: _Sight,
    guards: Sequence[tuple[float, float]],
    witnesses: Sequence[tuple[float, float]],
    company: Company,
    limit_s: float,
) -> list[int]:
    """The fewest guards that see all witnesses and keep that company; none when none were found in time."""
    table = sight.table(guards, witnesses)
    if company == "none":
        return _cover(table, limit_s)[0]
    links = sight.links(guards)
    if company == "seen":
        return _cover(table, limit_s, links)[0]
    alone = np.flatnonzero(table.all(axis=0) & links.any(axis=1))
    if alone.size:
        return [int(alone[0]), int(np.flatnonzero(links[alone[0]])[0])]
    return list(prove(_demand(table, links), limit_s=limit_s).chosen or ())


def _demand(table: Bools, links: Bools) -> Demand:
    """All witnesses seen, as one room that asks for all of its cells."""
    count = table.shape[0]
    return Demand(table.astype(float), np.ones(count), np.zeros(count, dtype=np.int64), np.array([float(count)]), links)


def _at_least(
    sight: _Sight, guards: Sequence[tuple[float, float]], witnesses: Sequence[tuple[float, float]], company: Company
) -> tuple[int, ...]:
    """Guards that see all and keep that company, not the fewest; none when this way finds none."""
    if company == "none":
        return tuple(sight.greedy(guards))

    def check(chosen: Sequence[int]) -> Lack | None:
        missed = sight.missed([guards[g] for g in chosen])
        if not missed:
            return None
        cut: Ints = np.flatnonzero(sight.table(guards, [_point(missed[0].representative_point())])[0])
        return Lack(cut, 0, float(missed[0].area))

    return greedy(_demand(sight.table(guards, witnesses), sight.links(guards)), check) or ()


class _Sight:
    """What is seen from where in one polygon, remembered."""

    def __init__(self, polygon: Polygon) -> None:
        self._polygon = polygon
        self._edges = walls(polygon)
        self._views: dict[tuple[float, float], Any] = {}
        shapely.prepare(polygon)

    def corners(self) -> list[tuple[tuple[int, int], float]]:
        """Every corner as (ring, index) with its bend: positive where the polygon is convex there."""
        found = []
        for r, ring in enumerate((self._polygon.exterior, *self._polygon.interiors)):
            at = np.asarray(ring.coords)[:-1]
            for i in range(len(at)):
                into, out = at[i] - at[i - 1], at[(i + 1) % len(at)] - at[i]
                found.append(((r, i), float(into[0] * out[1] - into[1] * out[0])))
        return found

    def inward(self, corner: tuple[int, int], bend: float) -> tuple[float, float] | None:
        """A point a little inside of a corner, on its bisector."""
        ring = (self._polygon.exterior, *self._polygon.interiors)[corner[0]]
        at = np.asarray(ring.coords)[:-1]
        i = corner[1]
        back, ahead = at[i - 1] - at[i], at[(i + 1) % len(at)] - at[i]
        way = back / np.linalg.norm(back) + ahead / np.linalg.norm(ahead)
        if np.linalg.norm(way) < 1e-9:
            way = np.array([-ahead[1], ahead[0]])
        elif bend <= 0.0:
            way = -way
        way = way / np.linalg.norm(way)
        step = 1e-3 * math.sqrt(self._polygon.area)
        for share in (1.0, 0.1, 0.01):
            x, y = at[i] + share * step * way
            if self._polygon.contains(shapely.Point(x, y)):
                return (float(x), float(y))
        return None

    def view(self, spot: tuple[float, float]) -> Any:
        """The visibility polygon of a spot."""
        if spot not in self._views:
            seen = shapely.make_valid(Polygon(self._sweep(spot)))
            shapely.prepare(seen)
            self._views[spot] = seen
        return self._views[spot]

    def _sweep(self, spot: tuple[float, float]) -> Any:
        """The corners of a spot's visibility polygon; from beside it where it lies in line with a wall."""
        for beside in (0.0, 1e-9, -1.7e-9):
            try:
                return visibility(self._edges, spot[0] + beside, spot[1] + 0.618 * beside, math.inf)
            except ValueError:
                continue
        return visibility(self._edges, spot[0] + 1e-7, spot[1] - 0.382e-7, math.inf)

    def table(self, guards: Sequence[tuple[float, float]], witnesses: Sequence[tuple[float, float]]) -> Any:
        """Which guard sees which witness, (witnesses, guards)."""
        at = np.asarray(guards)
        return np.stack(
            [shapely.contains_xy(shapely.buffer(self.view(w), WIDEN_M), at[:, 0], at[:, 1]) for w in witnesses]
        )

    def links(self, guards: Sequence[tuple[float, float]]) -> Bools:
        """Which guards see each other along a line that touches no wall, (guards, guards)."""
        at = np.asarray(guards)
        clear = strips(np.ascontiguousarray(self._edges), at, at, math.inf)
        held: Bools = (clear > 0.0) & (clear.T > 0.0) & ~np.eye(len(at), dtype=bool)
        return held

    def light_faces(self, witnesses: Sequence[tuple[float, float]]) -> tuple[Any, list[tuple[float, float]]] | None:
        """Which witnesses each light face of the overlay sees, (witnesses, faces), with a spot in each face; None
        when the overlay grows too large."""
        wide = [shapely.buffer(self.view(w), WIDEN_M, join_style="mitre", quad_segs=1) for w in witnesses]
        # Snapping is a hundred times finer than the widening: no face that two closed polygons share is lost.
        lines = shapely.union_all([shapely.boundary(view) for view in wide], grid_size=WIDEN_M / 100.0)
        faces = list(shapely.get_parts(shapely.polygonize([lines])))
        if len(faces) > FACES_MOST:
            return None
        at = np.array([_point(face.representative_point()) for face in faces])
        seen = np.stack([shapely.contains_xy(view, at[:, 0], at[:, 1]) for view in wide])
        inside = seen.any(axis=0)
        seen, at = seen[:, inside], at[inside]
        _, first = np.unique(seen, axis=1, return_index=True)
        seen, at = seen[:, np.sort(first)], at[np.sort(first)]
        counts = seen.astype(np.int32)
        both = counts.T @ counts
        size = counts.sum(axis=0)
        outdone = ((both == size[:, None]) & (size[None, :] > size[:, None])).any(axis=1)
        spots = [(float(x), float(y)) for x, y in at[~outdone]]
        keep = [self._polygon.contains(shapely.Point(spot)) for spot in spots]
        return seen[:, ~outdone], [spot for spot, kept in zip(spots, keep, strict=True) if kept]

    def missed(self, guards: Sequence[tuple[float, float]]) -> list[Any]:
        """The pieces of the polygon that no guard sees, rounding left out."""
        left = self._polygon.difference(shapely.union_all([self.view(g) for g in guards]).buffer(WIDEN_M))
        speck = SPECK_SHARE * self._polygon.area
        return [p for p in shapely.get_parts(left) if p.geom_type == "Polygon" and p.area > speck]

    def greedy(self, guards: Sequence[tuple[float, float]]) -> list[int]:
        """Guards that see all, each the one that adds most."""
        chosen: list[int] = []
        left = self._polygon
        while shapely.area(left) > SPECK_SHARE * self._polygon.area:
            gains = [shapely.area(shapely.intersection(left, self.view(g))) for g in guards]
            pick = int(np.argmax(gains))
            if gains[pick] <= 0.0:
                break
            chosen.append(pick)
            left = left.difference(self.view(guards[pick]).buffer(WIDEN_M))
        return chosen


def _point(p: Any) -> tuple[float, float]:
    return (float(p.x), float(p.y))


def _cover(table: Any, limit_s: float, links: Bools | None = None) -> tuple[list[int], int]:
    """The fewest columns that cover every row of a 0/1 table, and the proven lower bound; with ``links`` every
    column taken has another one that it is linked to."""
    count = table.shape[1]
    rows = [LinearConstraint(table.astype(float), lb=1.0)]
    if links is not None:
        rows.append(LinearConstraint(links.astype(float) - np.eye(count), lb=0.0))
    found = milp(
        np.ones(count),
        integrality=np.ones(count),
        bounds=Bounds(0.0, 1.0),
        constraints=rows,
        options={"time_limit": limit_s},
    )
    if found.x is None:
        return [], 1
    return np.flatnonzero(found.x > 0.5).tolist(), max(1, math.ceil(found.mip_dual_bound - 1e-6))


__all__ = ["Company", "Gallery", "GalleryError", "gallery", "read_rings"]
