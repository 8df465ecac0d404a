"""Tilt that is told of a room's frame, against its upright edges in plain views, found by programs of others.

py360convert cuts the frame into views round the horizon, OpenCV's line segment detector (von Gioi and others 2010, from
memory) finds lines in them. A line of the room lies on a great circle; those of upright edges meet in the plumb line,
the direction that is square to all their normals as nearly as can be (Bazin and others 2012, by abstract).
"""

from __future__ import annotations

import math
from typing import Any

import cv2
import numpy as np
import pytest
from py360convert import e2p

from scoring.frame.measure_level import level_of
from scoring.frame.pose import turn_right
from scoring.frame.shoot import shoot
from scoring.frame.spin import spin_of
from scoring.frame.take import Take
from tests.scoring.frame.spins import wrong
from tests.scoring.frame.stages import stage_of, studio

WIDTH = 2048
FIELD_DEG, SIDE_PX = 70, 800
VIEWS_DEG = range(0, 360, 45)
LONG_PX = 40.0
WINDOWS_DEG = (10.0, 6.0, 3.0, 1.5, 1.0, 1.0)
"""Lines within this of upright count, first in the frame, then about what was found."""
WITHIN_DEG = 0.12


def great_circles(rgb: Any) -> tuple[Any, Any]:
    """Normals (n, 3) of the planes through the lens and each line of the frame's views, and the lines' lengths."""
    away = 0.5 * SIDE_PX / math.tan(math.radians(0.5 * FIELD_DEG))
    detector = cv2.createLineSegmentDetector()
    normals, lengths = [], []
    for azimuth in VIEWS_DEG:
        view = e2p(rgb, (FIELD_DEG, FIELD_DEG), azimuth, 0, (SIDE_PX, SIDE_PX), mode="bilinear")
        lines = detector.detect(cv2.cvtColor(view, cv2.COLOR_RGB2GRAY))[0].reshape(-1, 4)
        lines = lines[np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1]) > LONG_PX].astype(float)
        middle = 0.5 * (SIDE_PX - 1)
        ends = [
            np.stack([np.full(len(lines), away), middle - lines[:, k], middle - lines[:, k + 1]], axis=1)
            for k in (0, 2)
        ]
        across = np.cross(*ends)
        normals.append(across / np.linalg.norm(across, axis=1, keepdims=True) @ turn_right(azimuth).T)
        lengths.append(np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1]))
    return np.concatenate(normals), np.concatenate(lengths)


def plumb(rgb: Any) -> tuple[Any, int]:
    """Straight up in the frame (forward, left, up), and how many lines say so."""
    normals, lengths = great_circles(rgb)
    up, upright = np.array([0.0, 0.0, 1.0]), np.zeros(0, int)
    for window in WINDOWS_DEG:
        off = normals @ up / math.sin(math.radians(window))
        upright = np.flatnonzero(np.abs(off) < 1.0)
        weight = lengths[upright] * (1.0 - off[upright] ** 2) ** 2
        up = np.linalg.eigh((normals[upright] * weight[:, None]).T @ normals[upright])[1][:, 0]
        up = up * np.sign(up[2])
    return up, len(upright)


@pytest.mark.parametrize(
    ("tilt_deg", "toward_deg"), [(0.0, 0.0), (0.5, 120.0), (1.0, 200.0), (3.0, 30.0), (6.0, 300.0)]
)
def test_the_tilt_that_is_told_is_that_of_upright_lines(tilt_deg: float, toward_deg: float) -> None:
    given: Take = studio(wrong("F4", tilt_deg=tilt_deg, toward_deg=toward_deg))
    up, lines = plumb(shoot(stage_of(given), given, WIDTH).rgb)
    spin = spin_of(given)
    told = level_of(spin.headings, spin.half_deg)
    lean, toward = math.radians(told.tilt_deg), math.radians(told.toward_deg)
    # The horizon stands highest where up leans away from.
    expected = np.array([-math.sin(lean) * math.cos(toward), math.sin(lean) * math.sin(toward), math.cos(lean)])
    off_deg = math.degrees(math.acos(min(1.0, float(up @ expected))))
    assert lines > 100
    assert off_deg < WITHIN_DEG
