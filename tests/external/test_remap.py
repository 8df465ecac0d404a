"""What the engine reads off a map, in frames of a whole spin, against OpenCV's remap and SciPy's map_coordinates.

Both get the same map of pixels. A chart stands in for the sky, under which there is nothing else: a frame is then that
chart, projected anew. The map of pixels is written out here from closed forms (plate carree, turning of the axis, the
radii of checks.md), and either of them reads the chart bilinearly by it. Grey levels are those of 0..255.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from scipy.ndimage import map_coordinates

from scoring.frame.film import CLEAN_VEIL_SHARE, REACH_DEG, STEP_DEG, strays_of
from scoring.frame.finishes import PLAIN, Finish
from scoring.frame.pose import tilt_toward, turn_right
from scoring.frame.scene import Lit, evenly_lit, scene_of
from scoring.frame.shoot import Frame, shoot
from scoring.frame.solids import Pile
from scoring.frame.spin import lens_point, spin_of
from scoring.frame.stage import Stage, staged
from scoring.frame.take import Take
from tests.scoring.frame.even_rooms import even_sky
from tests.scoring.frame.spins import take, with_fixed_pupil, wrong

Reader = Callable[[Any, Any, Any], Any]
WIDTH = 1024
WITHIN = 1e-3
"""Of a grey level."""
ROWS, COLUMNS = 13, 48
TRACED = slice(WIDTH // 12, WIDTH // 2 - WIDTH // 12)
"""Nearer to the poles not every pixel is read off: those between are filled in."""
ANGLES: dict[str, Callable[[Any], Any]] = {
    "equidistant": lambda r: r,
    "equisolid": lambda r: 2.0 * np.arcsin(np.minimum(0.5 * r, 1.0)),
    "stereographic": lambda r: 2.0 * np.arctan(0.5 * r),
    "orthographic": lambda r: np.arcsin(np.minimum(r, 1.0)),
}
RADII: dict[str, Callable[[Any], Any]] = {
    "equidistant": lambda t: t,
    "equisolid": lambda t: 2.0 * np.sin(0.5 * t),
    "stereographic": lambda t: 2.0 * np.tan(0.5 * t),
    "orthographic": np.sin,
}


def chart() -> Any:
    """Greys by elevation (rows, from the horizon up) and azimuth (columns, counter-clockwise)."""
    dice = np.random.default_rng(3)
    return dice.uniform(0.0, 255.0, (ROWS, COLUMNS, 3)).astype(np.float32)


def under(sky: Any, given: Take) -> Stage:
    """A stage with nothing but that sky: no glare from it, no colour setting, one small plate far below."""
    pile = Pile()
    pile.quad((-0.01, -0.01, -500.0), (0.02, 0.0, 0.0), (0.0, 0.02, 0.0), Finish(PLAIN, (0.5, 0.5, 0.5)))
    scene = scene_of(pile.faces, (0.0, 0.0, 0.0, 1.0))
    lit: Lit = evenly_lit(scene, 100.0)._replace(sky=sky, cloud=0.0)
    made = staged(given, lens_point(given), scene, lit, even_sky())
    return replace(made, around_cd_m2=np.zeros_like(made.around_cd_m2), balance=(1.0, 1.0, 1.0))


def by_opencv(table: Any, x: Any, y: Any) -> Any:
    """A table in pixels (x, y) of it, by cv2.remap."""
    places = x.astype(np.float32), y.astype(np.float32)
    return cv2.remap(table, *places, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)


def by_scipy(table: Any, x: Any, y: Any) -> Any:
    """The same by map_coordinates of order 1, channel by channel, in double precision."""
    layers = np.atleast_3d(table).astype(np.float64)
    read = [map_coordinates(layers[..., k], [y, x], order=1, mode="nearest") for k in range(layers.shape[2])]
    return np.stack(read, axis=-1).reshape(*x.shape, *table.shape[2:])


READERS = (by_opencv, by_scipy)


def looks() -> Any:
    """Where each pixel of the frame looks: forward, left, up."""
    lon = (np.arange(WIDTH) + 0.5) / WIDTH * 2.0 * math.pi - math.pi
    lat = 0.5 * math.pi - (np.arange(WIDTH // 2) + 0.5) / WIDTH * 2.0 * math.pi
    lons, lats = np.meshgrid(lon, lat)
    return np.stack([np.cos(lats) * np.cos(lons), -np.cos(lats) * np.sin(lons), np.sin(lats)], axis=-1)


def read_off(read_by: Reader, sky: Any, toward: Any) -> Any:
    """The chart in directions of the world, by one of them; below the horizon as at it."""
    padded = np.concatenate([sky, sky[:, :1]], axis=1)
    turn = np.arctan2(toward[..., 1], toward[..., 0]) % (2.0 * math.pi)
    height = np.arcsin(np.clip(toward[..., 2], 0.0, 1.0)) / (0.5 * math.pi)
    return read_by(padded, turn / (2.0 * math.pi) * COLUMNS, height * (ROWS - 1))


def alone(frame: Frame, k: int) -> Any:
    """Which pixels show heading k and no other, where every pixel is read off."""
    chosen = (frame.headings == k) & (frame.weights == 1.0)
    rows = np.zeros(chosen.shape, bool)
    rows[TRACED] = True
    return chosen & rows


@pytest.mark.parametrize("tilt_deg", [0.0, 4.0])
def test_a_frame_of_a_chart_is_the_chart_remapped(tilt_deg: float) -> None:
    given = take(wrong("F4", tilt_deg=tilt_deg, toward_deg=50.0))
    found = shoot(under(chart(), given), given, WIDTH).linear_cd_m2 / (1.0 - CLEAN_VEIL_SHARE)
    for read_by in READERS:
        told = read_off(read_by, chart(), looks() @ tilt_toward(tilt_deg, 50.0).T)
        assert np.abs(found - told)[TRACED].max() < WITHIN
        assert told.std() > 30.0


@pytest.mark.parametrize("projection", RADII)
def test_a_lens_that_is_off_moves_the_chart_by_its_projection(projection: str) -> None:
    """Two millimetres to the right: every place on the film is moved, which moves angles by the lens's own law."""
    given = with_fixed_pupil(take(wrong("F9", offset_mm=2.0, toward_deg=0.0)))
    lens = replace(given.kit.lens, projection=projection, field_deg=180.0)
    given = replace(given, kit=replace(given.kit, lens=lens))
    stage, spin = under(chart(), given), spin_of(given)
    frame = shoot(stage, given, WIDTH)
    moved = 2.0 / lens.circle_mm * RADII[projection](0.5 * math.pi)
    for k, (heading, stray) in enumerate(zip(spin.headings, strays_of(stage, spin), strict=True)):
        camera = looks() @ turn_right(heading.believed_deg)
        clear = alone(frame, k) & (by_opencv(stray.soft, *on_map(camera)) < 1e-9)
        clear &= np.abs(by_opencv(stray.keep, *on_map(camera)) - (1.0 - CLEAN_VEIL_SHARE)) < 1e-6
        found = frame.linear_cd_m2 / (1.0 - CLEAN_VEIL_SHARE)
        assert clear.sum() > 5000
        for read_by in READERS:
            told, still = (
                read_off(read_by, chart(), seen @ turn_right(heading.believed_deg).T)
                for seen in (off_axis(camera, projection, moved), camera)
            )
            assert np.abs(found - told)[clear].max() < WITHIN
            assert np.abs(found - still)[clear].mean() > 5.0


def off_axis(camera: Any, projection: str, moved: float) -> Any:
    """What a lens shows in directions of the camera when its picture is ``moved`` to the right on the film."""
    across = np.maximum(np.hypot(camera[..., 1], camera[..., 2]), 1e-12)
    r = RADII[projection](np.arctan2(across, camera[..., 0]))
    p, q = camera[..., 1] / across * r + moved, camera[..., 2] / across * r
    r = np.maximum(np.hypot(p, q), 1e-12)
    t = ANGLES[projection](r)
    return np.stack([np.cos(t), p / r * np.sin(t), q / r * np.sin(t)], axis=-1)


def on_map(camera: Any) -> tuple[Any, Any]:
    """Pixels of the map of what a lens does, laid out by angle from the axis x (left, up), of directions."""
    across = np.maximum(np.hypot(camera[..., 1], camera[..., 2]), 1e-12)
    off_deg = np.degrees(np.arctan2(across, camera[..., 0])) / across
    left, up = ((off_deg * camera[..., k] + REACH_DEG) / STEP_DEG - 0.5 for k in (1, 2))
    return left, up


def test_what_a_smeared_lens_does_is_read_off_its_map_as_they_do() -> None:
    """An even sky of 200: what is left of it, and the light that the smear throws in from a chart all round."""
    given = take(wrong("F10", patch_share=0.4, contrast_loss=0.6))
    stage = under(np.full((ROWS, COLUMNS, 3), 200.0, np.float32), given)
    round_about = np.random.default_rng(4).uniform(0.0, 255.0, stage.around_cd_m2.shape).astype(np.float32)
    stage, spin = replace(stage, around_cd_m2=round_about), spin_of(given)
    frame = shoot(stage, given, WIDTH)
    for k, (heading, stray) in enumerate(zip(spin.headings, strays_of(stage, spin), strict=True)):
        at = on_map(looks() @ turn_right(heading.believed_deg))
        for read_by in READERS:
            told = 200.0 * read_by(stray.keep, *at)[..., None] + read_by(stray.stray_cd_m2, *at)
            assert np.abs(frame.linear_cd_m2 - told)[alone(frame, k)].max() < WITHIN
            assert told[alone(frame, k)].std() > 3.0
