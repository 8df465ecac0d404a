"""A striped room as an exact equirectangular frame, tilted or doubled by a known amount: for blind measures."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

Frame = NDArray[np.uint8]


def directions(width_px: int) -> NDArray[Any]:
    """(H, W, 3) forward, left, up."""
    height_px = width_px // 2
    lon = np.radians((np.arange(width_px) + 0.5) / width_px * 360.0 - 180.0)
    lat = np.radians(90.0 - (np.arange(height_px) + 0.5) / height_px * 180.0)
    lon, lat = np.meshgrid(lon, lat)
    return np.stack([np.cos(lat) * np.cos(lon), -np.cos(lat) * np.sin(lon), np.sin(lat)], axis=-1)


def leaning(tilt_deg: float, towards_deg: float) -> NDArray[Any]:
    """Rows: the room's axes as a frame sees them whose horizon stands highest, by the tilt, toward an azimuth."""
    t, a = np.radians(tilt_deg), np.radians(towards_deg)
    up = np.array([-np.sin(t) * np.cos(a), np.sin(t) * np.sin(a), np.cos(t)])
    toward = np.array([np.cos(t) * np.cos(a), -np.cos(t) * np.sin(a), np.sin(t)])
    side = np.cross(up, toward)
    level = np.array([[np.cos(a), -np.sin(a), 0.0], [np.sin(a), np.cos(a), 0.0], [0.0, 0.0, 1.0]])
    turned: NDArray[Any] = level.T @ np.stack([toward, side, up])
    return turned


def striped_room(
    width_px: int = 1024, tilt_deg: float = 0.0, towards_deg: float = 0.0, seed: int = 1, samples: int = 1
) -> Frame:
    """A room of 5 by 4 by 2.6 m with upright and level stripes of random widths on its walls.

    Where edges must lean, take several samples to a pixel: they are blurred by 0.8 px, as a lens does, and thinned.
    """
    chance = np.random.default_rng(seed)
    lean = leaning(tilt_deg, towards_deg)
    fine = (directions(samples * width_px) @ lean.T).astype(np.float32)
    with np.errstate(divide="ignore"):
        reach = np.stack([np.array([2.5, 2.0, 1.3])[k] / np.abs(fine[..., k]) for k in range(3)], axis=-1)
    hit = reach.argmin(axis=-1)
    at = fine * reach.min(axis=-1)[..., None]
    along = np.where(hit == 0, at[..., 1] + 3.0 * np.sign(fine[..., 0]), at[..., 0] + 11.0 * np.sign(fine[..., 1]))
    uprights = np.sort(chance.uniform(-16.0, 16.0, 90))
    levels = np.array([-0.5, 0.6])
    tone = chance.uniform(30.0, 220.0, (91, 3))
    wall = tone[np.searchsorted(uprights, along), np.searchsorted(levels, at[..., 2])]
    grey = np.where(hit == 2, np.where(at[..., 2] > 0.0, 235.0, 90.0), wall)
    height_px = width_px // 2
    soft = gaussian_filter(grey, 0.8 * samples, mode=("nearest", "wrap")) if samples > 1 else grey
    mean = soft.reshape(height_px, samples, width_px, samples).mean(axis=(1, 3))
    noisy = mean + chance.normal(0.0, 1.0, mean.shape)
    return np.repeat(np.clip(np.rint(noisy), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


def speckled_frame(width_px: int = 2048, seed: int = 1) -> Frame:
    """Speckles of two sizes without any order: what edges are near and far, and never a pattern."""
    chance = np.random.default_rng(seed)
    shape = (width_px // 2, width_px)
    small, large = (gaussian_filter(chance.normal(size=shape), size, mode="wrap") for size in (1.2, 5.0))
    grey = 128.0 + 40.0 * small / small.std() + 25.0 * large / large.std()
    return np.repeat(np.clip(np.rint(grey), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


def doubled_at_seams(
    frame: Frame, headings: int, doubling_deg: float, mix: float = 0.5, feather_deg: float = 24.0
) -> Frame:
    """The frame mixed with itself turned by an angle, in a zone about each seam, as a feathered seam does it."""
    width_px = frame.shape[1]
    shift = doubling_deg / 360.0 * width_px
    k = np.arange(width_px // 2 + 1)
    waves = np.fft.rfft(frame.astype(float), axis=1) * np.exp(-2j * np.pi * k * shift / width_px)[None, :, None]
    other = np.fft.irfft(waves, width_px, axis=1)
    lon = (np.arange(width_px) + 0.5) / width_px * 360.0 - 180.0
    share = np.zeros(width_px)
    for heading in range(headings):
        off = np.abs((lon - 180.0 / headings - heading * 360.0 / headings + 180.0) % 360.0 - 180.0)
        share = np.maximum(share, np.where(off < feather_deg / 2.0, mix, 0.0))
    mixed = frame * (1.0 - share)[None, :, None] + other * share[None, :, None]
    return np.clip(np.rint(mixed), 0, 255).astype(np.uint8)


def share_of_sphere(mask: NDArray[np.bool_]) -> float:
    """Share of the sphere [%] that a mask (H, W) takes, by the middle of each pixel."""
    height = len(mask)
    weight = np.cos(np.radians(90.0 - (np.arange(height) + 0.5) / height * 180.0))
    return float(100.0 * (mask.mean(axis=1) * weight).sum() / weight.sum())
