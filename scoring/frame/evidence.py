"""Evidence: where in a frame to look for what was measured, as boxes on the sphere.

    maps of the merged frame, points at the seams  -->  Region: quantity, box, distance, number

A box spans ``width_deg`` of azimuth and ``height_deg`` of elevation about its middle, in the frame's own degrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects, label

from scoring.frame.measure_seams import Points, Seam

GAP_DEG = 9.0
"""Points farther apart than this along a seam are two regions."""
STRONG = 0.6
"""A region holds what has at least this share of its seam's worst."""
MARGIN_DEG = 1.5
REGIONS_MAX = 12
SHARE_MIN = 2e-4
"""Of the sphere: smaller pieces of a map are no region."""


@dataclass(frozen=True, slots=True)
class Region:
    """One place of a frame that shows a quantity."""

    quantity: str
    """Name of a field of `scoring.frame.severity.Numbers`."""
    azimuth_deg: float
    """Of its middle, -180..180."""
    elevation_deg: float
    width_deg: float
    height_deg: float
    value: float
    """Of the quantity there, in its own unit."""
    distance_m: float | None = None
    """Of the thing that shows it; None where distance has no say."""


def seam_regions(points: Points, seams: Sequence[Seam], least_deg: float, feather_deg: float) -> tuple[Region, ...]:
    """Where still things show doubled by at least ``least_deg``, worst first."""
    found = []
    for seam in seams:
        if seam.worst is None or seam.worst.doubling_deg < least_deg:
            continue
        own = points.where((points.seam == seam.number) & points.shows)
        strong = own.where(own.doubling_deg >= max(least_deg, STRONG * seam.worst.doubling_deg))
        for run in _runs(strong.elevation_deg):
            inside = strong.where((strong.elevation_deg >= run[0]) & (strong.elevation_deg <= run[1]))
            at = int(np.argmax(inside.doubling_deg))
            found.append(
                Region(
                    quantity="doubling_deg",
                    azimuth_deg=seam.azimuth_deg,
                    elevation_deg=0.5 * (run[0] + run[1]),
                    width_deg=2.0 * feather_deg + 2.0 * MARGIN_DEG,
                    height_deg=run[1] - run[0] + 2.0 * MARGIN_DEG,
                    value=float(inside.doubling_deg[at]),
                    distance_m=float(inside.distance_m[at]),
                )
            )
    return _worst_first(found)


def _runs(values: NDArray[np.float64]) -> list[tuple[float, float]]:
    """Ends of the stretches of values that lie no farther apart than ``GAP_DEG``."""
    ordered = np.unique(values)
    if len(ordered) == 0:
        return []
    cuts = np.nonzero(np.diff(ordered) > GAP_DEG)[0]
    starts = [0, *(cuts + 1).tolist()]
    ends = [*cuts.tolist(), len(ordered) - 1]
    return [(float(ordered[i]), float(ordered[j])) for i, j in zip(starts, ends, strict=True)]


def seam_boxes(quantity: str, seams: Iterable[tuple[float, float]], feather_deg: float) -> tuple[Region, ...]:
    """The whole of some seams at eye level: of each, its azimuth and its value."""
    return _worst_first(
        [Region(quantity, azimuth, 0.0, 2.0 * feather_deg + 6.0, 60.0, abs(value)) for azimuth, value in seams]
    )


def map_regions(
    quantity: str, there: NDArray[np.bool_], share: NDArray[np.float64], values: NDArray[np.float64] | None = None
) -> tuple[Region, ...]:
    """Connected pieces of a map (h, w) of the whole sphere, w = 2 h, largest first.

    ``share`` is the solid angle of each pixel as a share of the sphere, (h, 1). A piece's value is the mean of
    ``values`` over it, else its own share of the sphere. Pieces that cross the frame's left and right rim are one.
    """
    height, width = there.shape
    shift = int(np.argmin(there.any(axis=0))) if not there.any(axis=0).all() else 0
    turned = np.roll(there, -shift, axis=1)
    names, _ = label(turned, structure=np.ones((3, 3)))
    weight = np.broadcast_to(share, there.shape)
    moved = None if values is None else np.roll(values, -shift, axis=1)
    found = []
    for number, box in enumerate(find_objects(names), start=1):
        piece = names[box] == number
        size = float(weight[box][piece].sum())
        if size < SHARE_MIN:
            continue
        rows, columns = box
        value = size if moved is None else float(np.average(moved[box][piece], weights=weight[box][piece]))
        middle = (0.5 * (columns.start + columns.stop) + shift) * 360.0 / width
        found.append(
            (
                size,
                Region(
                    quantity=quantity,
                    azimuth_deg=middle % 360.0 - 180.0,
                    elevation_deg=90.0 - 0.5 * (rows.start + rows.stop) * 180.0 / height,
                    width_deg=(columns.stop - columns.start) * 360.0 / width,
                    height_deg=(rows.stop - rows.start) * 180.0 / height,
                    value=value,
                ),
            )
        )
    return tuple(region for _, region in sorted(found, key=lambda one: -one[0])[:REGIONS_MAX])


def seams_with_edges(points: Points, edge_levels: float, nearest_m: float, farthest_m: float) -> tuple[int, ...]:
    """Seams where both pictures show an edge of at least that contrast between two distances, by number."""
    inside = (points.distance_m >= nearest_m) & (points.distance_m <= farthest_m)
    inside &= points.both & (points.edge_levels >= edge_levels)
    return tuple(int(number) for number in np.unique(points.seam[inside]))


def _worst_first(regions: list[Region]) -> tuple[Region, ...]:
    return tuple(sorted(regions, key=lambda region: -region.value)[:REGIONS_MAX])


__all__ = ["Region", "map_regions", "seam_boxes", "seam_regions", "seams_with_edges"]
