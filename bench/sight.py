"""One visibility polygon against CGAL's exact one (PyPI pyvispoly), same polygons, same points, in one run."""

from __future__ import annotations

import statistics
import time

import numpy as np
import pyvispoly
from shapely.geometry.polygon import orient

from scoring.floor.sight import visibility
from tests.external.random_polygons import edges, inner_points, starry

SIZES = ((50, 26, 6), (200, 80, 30), (1000, 300, 175))
"""Corners in all; corners of the outline and holes that make about as many."""


def rows() -> list[tuple[str, str, str]]:
    """One row per size: our median time, CGAL's, and the ratio."""
    return [_row(*size) for size in SIZES]


def _row(corners: int, outline: int, holes: int) -> tuple[str, str, str]:
    rng = np.random.default_rng(corners)
    ours, theirs, sizes = [], [], []
    for _ in range(12):
        polygon = orient(starry(rng, outline, holes))
        drawn = edges(polygon)
        sizes.append(len(drawn))
        rings = [[pyvispoly.Point(*at) for at in r.coords[:-1]] for r in (polygon.exterior, *polygon.interiors)]
        cgal = pyvispoly.VisibilityPolygonCalculator(pyvispoly.PolygonWithHoles(rings[0], rings[1:]))
        visibility(drawn, *inner_points(rng, polygon, 1)[0])
        for x, y in inner_points(rng, polygon, 6):
            start = time.perf_counter()
            visibility(drawn, x, y)
            middle = time.perf_counter()
            cgal.compute_visibility_polygon(pyvispoly.Point(x, y))
            ours.append(middle - start)
            theirs.append(time.perf_counter() - middle)
    mine, other = statistics.median(ours) * 1e3, statistics.median(theirs) * 1e3
    what = f"visibility polygon, {statistics.median(sizes):.0f} corners"
    return what, f"{mine:.3f} ms", f"CGAL {other:.3f} ms: ratio {mine / other:.2f} (must 0.30, reach 0.12)"


__all__ = ["rows"]
