"""Shares of the sphere at white and black, by solid angle."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.blind.clipping import find_clipping
from tests.scoring.frame.blind.drawn_rooms import share_of_sphere


def test_a_cap_counts_by_its_solid_angle_not_by_its_rows() -> None:
    frame = np.full((512, 1024, 3), 100, np.uint8)
    # Above 60 degrees lies (1 - sin 60) / 2 of the sphere, and a sixth of the rows.
    frame[: 512 // 6] = 255
    mask = np.zeros((512, 1024), bool)
    mask[: 512 // 6] = True
    found = find_clipping(frame)
    assert found.clipped_percent == pytest.approx(share_of_sphere(mask), abs=0.01)
    assert found.clipped_percent == pytest.approx(50.0 * (1.0 - np.sin(np.radians(90.0 - 85 * 180.0 / 512))), abs=0.01)


def test_one_channel_at_white_is_clipped_and_black_takes_all_three() -> None:
    frame = np.full((256, 512, 3), 100, np.uint8)
    frame[100:140, 100:200, 0] = 255
    frame[100:140, 300:400] = 1
    frame[100:140, 420:440, 2] = 0
    found = find_clipping(frame)
    mask = np.zeros((256, 512), bool)
    mask[100:140, 100:200] = True
    assert found.clipped_percent == pytest.approx(share_of_sphere(mask), abs=0.02)
    assert found.crushed_percent == pytest.approx(share_of_sphere(mask), abs=0.02)


def test_what_is_nearly_at_the_limit_widens_the_share() -> None:
    frame = np.full((256, 512, 3), 252, np.uint8)
    found = find_clipping(frame)
    assert (found.clipped_percent, found.crushed_percent) == (0.0, 0.0)
    assert found.clipped_up_to_percent == pytest.approx(100.0)


def test_a_window_over_the_edge_of_the_file_is_one_box() -> None:
    frame = np.full((512, 1024, 3), 100, np.uint8)
    frame[200:300, :60] = 255
    frame[200:300, -60:] = 255
    boxes = [trace for trace in find_clipping(frame).traces if trace.role == "clipped"]
    assert len(boxes) == 1
    (left, _), (right, _) = boxes[0].at_deg
    assert left == pytest.approx(158.9, abs=5.0)
    assert right - left == pytest.approx(42.0, abs=6.0)
