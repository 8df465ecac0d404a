"""Evidence: boxes on the sphere round what was found."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.evidence import map_regions, seam_regions, seams_with_edges
from scoring.frame.measure_seams import Points, Seam, Worst
from scoring.frame.measure_tones import solid_angles

SHARE = solid_angles(90, 180)


def points(seam: list[int], elevation: list[float], distance: list[float], doubling: list[float]) -> Points:
    n = len(seam)
    ones = np.ones(n)
    return Points(
        np.array(seam), 45.0 * ones, np.array(elevation), np.array(distance), np.array(doubling), 0.0 * ones,
        np.array(doubling), ones / n, np.ones(n, bool), np.ones(n, bool), 50.0 * ones, 0.0 * ones, 0.0 * ones,
    )  # fmt: skip


def seam(number: int, worst_deg: float) -> Seam:
    worst = Worst(worst_deg, worst_deg, 0.0, 1.0, 45.0, -20.0)
    return Seam(number, 45.0, True, worst, 0.1, worst_deg, 0.0, 0.0, 0.0)


def test_it_boxes_a_piece_of_a_map() -> None:
    there = np.zeros((90, 180), dtype=bool)
    there[30:40, 100:120] = True
    (region,) = map_regions("clipped_share", there, SHARE)
    assert (region.azimuth_deg, region.elevation_deg) == (pytest.approx(40.0), pytest.approx(20.0))
    assert (region.width_deg, region.height_deg) == (pytest.approx(40.0), pytest.approx(20.0))
    assert region.value == pytest.approx(float((there * SHARE).sum()))


def test_a_piece_across_the_rim_of_the_frame_is_one() -> None:
    there = np.zeros((90, 180), dtype=bool)
    there[40:50, :8] = there[40:50, -8:] = True
    (region,) = map_regions("clipped_share", there, SHARE)
    assert abs(region.azimuth_deg) == pytest.approx(180.0)
    assert region.width_deg == pytest.approx(32.0)


def test_it_leaves_specks_out_and_puts_the_largest_first() -> None:
    there = np.zeros((90, 180), dtype=bool)
    there[45, 10] = True
    there[40:44, 30:40] = there[40:50, 60:90] = True
    assert [round(region.azimuth_deg) for region in map_regions("x", there, SHARE)] == [-30, -110]


def test_it_boxes_the_strong_runs_of_a_seam_apart() -> None:
    found = points([0] * 6, [-40, -36, -32, 10, 12, 30], [1, 1, 1, 2, 2, 5], [1.0, 0.9, 0.8, 0.7, 0.7, 0.2])
    regions = seam_regions(found, [seam(0, 1.0)], 0.4, 3.0)
    assert [(region.elevation_deg, region.value) for region in regions] == [(-36.0, 1.0), (11.0, 0.7)]
    assert regions[0].width_deg == pytest.approx(9.0)
    assert regions[0].distance_m == 1.0
    assert seam_regions(found, [seam(0, 0.3)], 0.4, 3.0) == ()


def test_it_knows_which_seams_have_edges_near_and_far() -> None:
    found = points([0, 0, 1, 2], [0.0] * 4, [1.0, 5.0, 1.1, 6.0], [0.1] * 4)
    assert seams_with_edges(found, 10.0, 0.0, 1.2) == (0, 1)
    assert seams_with_edges(found, 10.0, 4.0, np.inf) == (0, 2)
    assert seams_with_edges(found, 60.0, 0.0, 1.2) == ()


def test_it_counts_no_edge_where_one_picture_alone_shows() -> None:
    found = points([0, 0, 1, 2], [0.0] * 4, [1.0, 5.0, 1.1, 6.0], [0.1] * 4)
    found = found._replace(both=np.array([False, True, True, False]))
    assert seams_with_edges(found, 10.0, 0.0, 1.2) == (1,)
    assert seams_with_edges(found, 10.0, 4.0, np.inf) == (0,)
