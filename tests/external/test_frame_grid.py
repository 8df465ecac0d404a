"""The frame's grid and its turning, against py360convert's map of directions and OpenCV's remap."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from py360convert import utils

from scoring.frame.beams import pixel_ray
from scoring.frame.pose import tilt_toward
from scoring.frame.shoot import shoot
from scoring.frame.spin import spin_of
from tests.scoring.frame.even_rooms import clean_stage
from tests.scoring.frame.spins import take, with_fixed_pupil, wrong

WIDTH = 1024


def test_pixels_look_where_py360convert_says() -> None:
    heading = spin_of(with_fixed_pupil(take())).headings[0]
    dice = np.random.default_rng(5)
    places = np.stack([dice.uniform(0, 4095, 400), dice.uniform(0, 2047, 400)], axis=1)
    seen = np.array([pixel_ray(heading.row(), 4096, c, r)[3:6] for c, r in places])
    ahead, left, up = (seen @ heading.attitude).T
    u, v = utils.xyz2uv(np.stack([-left, up, ahead], axis=1))
    found = utils.uv2coor(u, v, 2048, 4096)
    assert np.abs(np.stack(found, axis=1).reshape(places.shape) - places).max() < 1e-3


def test_a_tilted_axis_turns_the_frame_as_remap_does() -> None:
    given = with_fixed_pupil(take())
    clean = replace(clean_stage(), balance=(1.0, 1.0, 1.0))
    level = shoot(clean, given, WIDTH).rgb
    tilted = shoot(clean, replace(given, faults=(wrong("F4", tilt_deg=4.0, toward_deg=50.0),)), WIDTH).rgb
    turned = _turned(level, tilt_toward(4.0, 50.0))
    rows = slice(WIDTH // 16, WIDTH * 3 // 8)
    off, unturned = (np.abs(tilted[rows].astype(float) - other[rows]).mean() for other in (turned, level))
    assert off < 1.6
    assert unturned > 4.0 * off


def _turned(rgb: Any, attitude: Any) -> Any:
    """A frame as a camera with that attitude would show it, by bilinear remap."""
    wide = rgb.shape[1]
    lon = ((np.arange(wide) + 0.5) / wide * 2.0 - 1.0) * np.pi
    lat = (0.5 - (np.arange(wide // 2) + 0.5) / (wide // 2)) * np.pi
    lons, lats = np.meshgrid(lon, lat)
    toward = np.stack([np.cos(lats) * np.cos(lons), -np.cos(lats) * np.sin(lons), np.sin(lats)], axis=-1) @ attitude.T
    u = (np.arctan2(-toward[..., 1], toward[..., 0]) / np.pi + 1.0) * wide / 2 - 0.5
    v = (0.5 - np.arcsin(np.clip(toward[..., 2], -1.0, 1.0)) / np.pi) * wide / 2 - 0.5
    padded = np.concatenate([rgb, rgb[:, :2]], axis=1)
    return cv2.remap(
        padded, (u % wide).astype(np.float32), v.astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
