r"""One raw heading: the round picture of the fisheye, as it lies on the film before anything is merged.

::

      ┌─────────────┐
      │  .-------.  │     the image circle is CIRCLE of the half width; black beyond it, and moved when the lens is
      │ /         \ │     not seated; up is up, left is left
      │ \         / │
      │  '-------'  │
      └─────────────┘
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, map_coordinates

from scoring.frame.film import REACH_DEG, STEP_DEG, natural_shade, strays_of
from scoring.frame.kernels import kernel
from scoring.frame.layers import SEAT_EDGE_DEG
from scoring.frame.lens import angle, edge_radius, from_film
from scoring.frame.merge import stir
from scoring.frame.movers import exposure_masks
from scoring.frame.pose import Heading, turn_right
from scoring.frame.sensor import Sensor, gains_of, sensor_of
from scoring.frame.shade import radiance_from
from scoring.frame.softness import EDGE_SIGMAS
from scoring.frame.spin import spin_of
from scoring.frame.stage import Stage
from scoring.frame.take import Take
from scoring.frame.threads import in_bands
from scoring.frame.trace import first_hit

Rows = NDArray[Any]

CIRCLE = 0.94
"""Radius of the image circle over half the picture's width."""
SMEAR_STEPS = 9


def heading_picture(stage: Stage, take: Take, index: int, width_px: int) -> NDArray[np.uint8]:
    """The raw picture of one heading, by its place in the merged frame from 0: (width, width, 3) sRGB.

    IndexError when the spin has no such heading; ValueError when it was not taken.
    """
    spin = spin_of(take, stage.lens_point_m)
    heading = spin.headings[index]
    if not heading.taken:
        raise ValueError(f"heading {index + 1} was not taken")
    edge = edge_radius(spin.lens)
    scale = edge / (0.5 * CIRCLE * width_px)
    masks = exposure_masks(take, heading.source)
    light = np.zeros((width_px, width_px, 3))
    swings = [0.0]
    if heading.film.smear_deg > 0.0:
        swings = list(
            (np.arange(SMEAR_STEPS) + 0.5) / SMEAR_STEPS * heading.film.smear_deg - 0.5 * heading.film.smear_deg
        )
    for swing in swings:
        turned = replace(heading, attitude=turn_right(swing) @ heading.attitude)
        for mask in masks:
            light += _seen(stage, turned, mask, width_px, scale, edge) / (len(swings) * len(masks))
    pixels_deg = 0.5 * CIRCLE * width_px / (0.5 * spin.lens.field_deg)
    if heading.film.focus_deg > 0.0:
        light = _blurred(light, heading.film.focus_deg * pixels_deg)
    stray = strays_of(stage, spin)[index]
    left, up = _angles(heading.projection, width_px, scale)
    at = [(up + REACH_DEG) / STEP_DEG - 0.5, (left + REACH_DEG) / STEP_DEG - 0.5]
    if stray.soft.any():
        soft = map_coordinates(stray.soft, at, order=1, mode="nearest")[..., None]
        light += soft * (_blurred(light, SEAT_EDGE_DEG * pixels_deg) - light)
    keep = map_coordinates(stray.keep, at, order=1, mode="nearest")
    more = np.stack(
        [map_coordinates(stray.stray_cd_m2[..., k], at, order=1, mode="nearest") for k in range(3)], axis=-1
    )
    shade = natural_shade(np.hypot(left, up) / (0.5 * spin.lens.field_deg))[..., None]
    light = (light * keep[..., None] + more) * shade * gains_of(stage, heading.film)
    p, q = _film(width_px, scale)
    beyond = np.hypot(p - heading.lens_shift[0], q - heading.lens_shift[1]) / scale - edge / scale
    light *= np.clip(0.5 - 0.5 * beyond, 0.0, 1.0)[..., None]
    return _developed(light, sensor_of(stage, take, int(360.0 * pixels_deg)), take.seed, index)


def _blurred(light: Rows, edge_px: float) -> Rows:
    """A picture blurred so that a sharp edge rises over so many pixels from 10 to 90 %."""
    return np.stack([gaussian_filter(light[..., k], edge_px / EDGE_SIGMAS) for k in range(3)], axis=-1)


def _film(width_px: int, scale: float) -> tuple[Rows, Rows]:
    """Places (left, up) on the film of a picture's pixels, in focal lengths."""
    at = (np.arange(width_px) + 0.5 - 0.5 * width_px) * scale
    return np.broadcast_to(-at[None, :], (width_px, width_px)), np.broadcast_to(-at[:, None], (width_px, width_px))


def _angles(projection: int, width_px: int, scale: float) -> tuple[Rows, Rows]:
    """Angles (left, up) from the axis that the pixels show through a centred lens [deg]."""
    p, q = _film(width_px, scale)
    radii = np.hypot(p, q)
    table = np.linspace(0.0, float(radii.max()) + 1e-9, 2048)
    degrees = np.degrees([angle(projection, r) for r in table])
    factor = np.interp(radii, table, degrees) / np.maximum(radii, 1e-12)
    return p * factor, q * factor


def _seen(stage: Stage, heading: Heading, mask: int, width_px: int, scale: float, edge: float) -> Rows:
    rgb = np.zeros((width_px, width_px, 3))
    faces = np.full((width_px, width_px), -2, np.int64)
    fixed = (stage.scene, stage.lit, heading.row(), mask, scale, edge, rgb, faces)
    in_bands(lambda a, b: _rows(*fixed, False, a, b), width_px)
    in_bands(lambda a, b: _rows(*fixed, True, a, b), width_px)
    return rgb


@kernel
def _ray(row: Rows, p: float, q: float) -> tuple[float, float, float, float, float, float]:
    """The ray that lands at a place on the film."""
    lx, ly, lz = from_film(int(row[26]), p - row[21], q - row[22])
    s = row[23] * (row[24] - lx)
    x, y, z = lx, ly, lz
    if row[27] != 0.0:
        x = row[12] * lx + row[13] * ly + row[14] * lz
        y = row[15] * lx + row[16] * ly + row[17] * lz
        z = row[18] * lx + row[19] * ly + row[20] * lz
    sx, sy, sz = s * row[12], s * row[15], s * row[18]
    return (
        row[9] + row[0] * sx + row[1] * sy + row[2] * sz,
        row[10] + row[3] * sx + row[4] * sy + row[5] * sz,
        row[11] + row[6] * sx + row[7] * sy + row[8] * sz,
        row[0] * x + row[1] * y + row[2] * z,
        row[3] * x + row[4] * y + row[5] * z,
        row[6] * x + row[7] * y + row[8] * z,
    )


@njit(nogil=True, cache=True)
def _rows(
    scene: Any, lit: Any, row: Rows, mask: int, scale: float, edge: float, rgb: Rows, faces: Rows,
    again: bool, first: int, last: int,
) -> None:  # fmt: skip
    """Rows of the picture: once through the middle of each pixel, and again, four times, where faces meet."""
    n = rgb.shape[0]
    for j in range(first, last):
        for i in range(n):
            p, q = (0.5 * n - i - 0.5) * scale, (0.5 * n - j - 0.5) * scale
            if math.hypot(p - row[21], q - row[22]) > edge + scale:
                continue
            if not again:
                ox, oy, oz, dx, dy, dz = _ray(row, p, q)
                face, t = first_hit(scene, ox, oy, oz, dx, dy, dz, mask)
                r, g, b, _, end = radiance_from(scene, lit, face, t, ox, oy, oz, dx, dy, dz, scale, mask)
                rgb[j, i, 0], rgb[j, i, 1], rgb[j, i, 2] = r, g, b
                faces[j, i] = end
                continue
            f = faces[j, i]
            if not (
                (i > 0 and faces[j, i - 1] != f)
                or (i < n - 1 and faces[j, i + 1] != f)
                or (j > 0 and faces[j - 1, i] != f)
                or (j < n - 1 and faces[j + 1, i] != f)
            ):
                continue
            rgb[j, i, 0] = rgb[j, i, 1] = rgb[j, i, 2] = 0.0
            for k in range(4):
                u = (0.375 - 0.25 * k) * scale
                v = (0.125, 0.375, -0.375, -0.125)[k] * scale
                ox, oy, oz, dx, dy, dz = _ray(row, p + u, q + v)
                face, t = first_hit(scene, ox, oy, oz, dx, dy, dz, mask)
                r, g, b, _, _ = radiance_from(scene, lit, face, t, ox, oy, oz, dx, dy, dz, 0.5 * scale, mask)
                rgb[j, i, 0] += 0.25 * r
                rgb[j, i, 1] += 0.25 * g
                rgb[j, i, 2] += 0.25 * b


def _developed(light: Rows, sensor: Sensor, seed: int, index: int) -> NDArray[np.uint8]:
    out = np.empty(light.shape, np.uint8)
    fixed = (light, sensor.shown, sensor.noise_cd_m2, sensor.code, sensor.colourful, seed % 2**62, index, out)
    in_bands(lambda a, b: _develop(*fixed, a, b), light.shape[0])
    return out


@njit(nogil=True, cache=True)
def _develop(
    light: Rows, shown: Rows, noise: Rows, code: Rows, colourful: float, seed: int, index: int, out: Rows,
    first: int, last: int,
) -> None:  # fmt: skip
    one = np.empty(1, np.float32)
    bits = one.view(np.uint32)
    part, stirred = np.empty(3), np.empty(3)
    top = code.shape[0] - 1
    for j in range(first, last):
        for i in range(light.shape[1]):
            stir(stirred, j, i, 64 + index, seed)
            for c in range(3):
                one[0] = light[j, i, c]
                one[0] = max(light[j, i, c] + noise[bits[0] >> np.uint32(15)] * stirred[c], 0.0)
                part[c] = shown[bits[0] >> np.uint32(15)]
            grey = 0.2126 * part[0] + 0.7152 * part[1] + 0.0722 * part[2]
            for c in range(3):
                share = min(1.0, max(0.0, grey + colourful * (part[c] - grey)))
                out[j, i, c] = int(255.0 * code[int(share * top + 0.5)] + 0.5)


__all__ = ["CIRCLE", "heading_picture"]
