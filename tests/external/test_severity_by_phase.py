"""Doubling from geometry against doubling read off the pictures of the headings, by phase correlation.

Kuglin and Hines 1975 and its subpixel form (Foroosh 2002), both from memory, as in scikit-image and in OpenCV. Each
picture is one heading alone, as the merger lays it into the frame; a window holds things at about one distance. The
right window is moved by the whole pixels that geometry says, so that both hold the same things: what is left has to be
found. A window that the two programs disagree about, whose detail goes one way only, or repeats itself as tiles do,
tells nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import cv2
import numpy as np
import pytest
from skimage.registration import phase_cross_correlation

from scoring.frame.look import View, heading_windows
from scoring.frame.measure_seams import Pair, apart, directions, pairs_of
from scoring.frame.pose import placed_rows, turn_right
from scoring.frame.probe import MIRRORED, hits_along, seen_from
from scoring.frame.spin import Spin, spin_of
from scoring.frame.take import Fault, Take
from scoring.light.colour import LUMINANCE
from tests.scoring.frame.spins import wrong
from tests.scoring.frame.stages import stage_of, studio

WIDTH_PX = 8192
SIDE_PX = 144
PX_PER_DEG = WIDTH_PX / 360.0
EVEN_DEG = 0.03
"""Where points of a window disagree about the doubling by more than this it holds more than one thing."""
ELEVATIONS_DEG = (-40.0, -31.0, -22.0, -13.0, -4.0, 5.0)
AGREE_DEG = 0.05
SAME_PX = 0.6
PEAK = 0.2
CORNERS = 0.05
REPEATS = 0.7
"""Tiles correlate with themselves by more than this one row or column on; nothing else in the room does."""
LEAST_REPEAT_PX = 8
FAULTS = [
    wrong("F1", offset_mm=10.0),
    wrong("F2", offset_mm=10.0),
    wrong("F3", roll_deg=1.0),
    wrong("F5", shift_mm=30.0, yaw_deg=0.5),
    wrong("F7", slip_deg=1.0),
    wrong("F9", offset_mm=0.5),
]


def geometry(given: Take, spin: Spin, pair: Pair, elevation_deg: float) -> tuple[float, float] | None:
    """How far right and up [px] a window's things are put apart; None where it holds no one answer."""
    scene = stage_of(given).scene
    half_deg = 0.5 * SIDE_PX / PX_PER_DEG
    steps = np.linspace(-half_deg, half_deg, 7)
    az, el = (g.ravel() for g in np.meshgrid(pair.azimuth_deg + steps, elevation_deg + steps))
    rays = directions(az, el) @ turn_right(-spin.facing_deg).T
    faces, away = hits_along(scene, np.array(spin.lens_point_m), rays, pair.left.shot_bit)
    points = np.array(spin.lens_point_m) + rays * away[:, None]
    for heading in (pair.left, pair.right):
        if not seen_from(scene, heading.origin_m, points, heading.shot_bit).all():
            return None
    if (faces == MIRRORED).any() or (faces < 0).any():
        return None
    _, right, up = apart(placed_rows(pair.left.row(), points), placed_rows(pair.right.row(), points))
    if right.std() > EVEN_DEG or up.std() > EVEN_DEG:
        return None
    across = right / np.cos(np.radians(el))
    return float(across.mean() * PX_PER_DEG), float(up.mean() * PX_PER_DEG)


def light(view: View) -> np.ndarray:
    """Log light of a window without its mean."""
    log = np.log(np.maximum(view.seen.astype(float) @ LUMINANCE, 1e-6))
    return np.asarray(log - log.mean())


def windows(given: Take) -> Iterator[tuple[tuple[float, float], np.ndarray, np.ndarray, float]]:
    """What is left to find [px] after moving the right window by whole pixels, both windows, and their elevation."""
    stage = stage_of(given)
    spin = spin_of(given, stage.lens_point_m)
    for pair in pairs_of(spin.headings):
        told = [(el, geometry(given, spin, pair, el)) for el in ELEVATIONS_DEG]
        cuts = [
            (el, off, round((pair.azimuth_deg + 180.0) * PX_PER_DEG) - SIDE_PX // 2,
             round((90.0 - el) * PX_PER_DEG) - SIDE_PX // 2)
            for el, off in told if off is not None
        ]  # fmt: skip
        whole = [(round(off[0]), round(off[1])) for _, off, _, _ in cuts]
        left = [(x, y, SIDE_PX, SIDE_PX) for _, _, x, y in cuts]
        right = [(x + dx, y - dy, SIDE_PX, SIDE_PX) for (_, _, x, y), (dx, dy) in zip(cuts, whole, strict=True)]
        firsts = heading_windows(stage, given, pair.left.index, WIDTH_PX, left)
        seconds = heading_windows(stage, given, pair.right.index, WIDTH_PX, right)
        for (el, off, _, _), moved, first, second in zip(cuts, whole, firsts, seconds, strict=True):
            yield (off[0] - moved[0], off[1] - moved[1]), light(first), light(second), el


def corners(picture: np.ndarray) -> float:
    """Whether detail goes both ways, 0..1: the smaller over the larger eigenvalue of its mean structure tensor."""
    down, across = np.gradient(picture)
    mixed = float((down * across).mean())
    small, large = np.linalg.eigvalsh([[float((across**2).mean()), mixed], [mixed, float((down**2).mean())]])
    return float(small / large)


def repeats(picture: np.ndarray) -> bool:
    """Whether detail looks the same a few pixels on, up or across."""
    fade = np.hanning(SIDE_PX)[:, None] * np.hanning(SIDE_PX)[None, :]
    share = itself(fade)
    for axis in (0, 1):
        alike = itself(np.gradient(picture, axis=axis) * fade)
        along = [part[:, 0] if axis == 0 else part[0] for part in (alike, share)]
        lags = slice(LEAST_REPEAT_PX, SIDE_PX // 3)
        if (along[0][lags] / along[1][lags]).max() > REPEATS:
            return True
    return False


def itself(picture: np.ndarray) -> np.ndarray:
    """Correlation of a picture with itself by lag (down, across), 1 at none."""
    spectrum = np.fft.fft2(picture, s=(2 * SIDE_PX, 2 * SIDE_PX))
    alike = np.fft.ifft2(np.abs(spectrum) ** 2).real
    return np.asarray(alike / alike[0, 0])


def shift(first: np.ndarray, second: np.ndarray) -> tuple[float, float] | None:
    """How far right and up [px] the second picture's things are; None where two programs do not agree."""
    fade = np.hanning(SIDE_PX)[:, None] * np.hanning(SIDE_PX)[None, :]
    found, *_ = phase_cross_correlation(second * fade, first * fade, upsample_factor=50)
    (x, y), peak = cv2.phaseCorrelate(first.copy(), second.copy(), np.ascontiguousarray(fade))
    if math.hypot(found[1] - x, found[0] - y) > SAME_PX or peak < PEAK:
        return None
    if corners(first) < CORNERS or repeats(first):
        return None
    return float(0.5 * (found[1] + x)), float(-0.5 * (found[0] + y))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.code}-{'-'.join(map(str, fault.values.values()))}")
def test_it_agrees_with_phase_correlation_of_the_headings(fault: Fault) -> None:
    off_deg = []
    for (right, up), first, second, elevation_deg in windows(studio(fault)):
        found = shift(first, second)
        if found is not None:
            across = (found[0] - right) * math.cos(math.radians(elevation_deg))
            off_deg.append(math.hypot(across, found[1] - up) / PX_PER_DEG)
    assert len(off_deg) >= 3
    assert float(np.median(off_deg)) < 0.5 * AGREE_DEG
    assert max(off_deg) < AGREE_DEG, off_deg
