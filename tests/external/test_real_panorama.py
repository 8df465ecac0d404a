"""A real interior, photographed: tilt, veil and clipping that are added to it are found again.

The picture is `interior.exr` of Debian's package blender-data (CC0, licence file beside it), 1024 x 512, linear.
It is itself not quite level, so tilts are compared with its own baseline.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from scoring.frame.blind.clipping import find_clipping
from scoring.frame.blind.sectors import Sectors, find_sectors
from scoring.frame.blind.sphere import CannotTell
from scoring.frame.blind.tilt import Tilt, find_tilt
from scoring.frame.blind.veil import Veil, find_veil
from tests.scoring.frame.blind.drawn_rooms import directions, leaning

FILE = Path("/usr/share/blender/datafiles/studiolights/world/interior.exr")
WIDTH_PX = 1024
TILTS_DEG = (0.25, 0.5, 1.0, 2.0, 3.0)


@pytest.fixture(scope="module")
def interior() -> NDArray[Any]:
    """Linear light, scaled so that the median stands at middle grey."""
    if not FILE.is_file():
        pytest.fail(f"{FILE} is not there: apt-get install blender-data (Debian, Ubuntu).")
    import OpenEXR

    with OpenEXR.File(str(FILE)) as file:
        channels = file.channels()
        light = channels["RGB"].pixels if "RGB" in channels else np.stack([channels[c].pixels for c in "RGB"], -1)
    scaled: NDArray[Any] = np.clip(np.asarray(light, np.float32), 0.0, None)
    return scaled * (0.18 / float(np.median(scaled)))


def as_file(light: NDArray[Any]) -> NDArray[np.uint8]:
    """sRGB bytes (IEC 61966-2-1, from memory)."""
    x = np.clip(light, 0.0, 1.0)
    steps = np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)
    return np.rint(255.0 * steps).astype(np.uint8)


def tilted(light: NDArray[Any], tilt_deg: float, towards_deg: float) -> NDArray[Any]:
    """The panorama seen by an axis that leans, by cubic interpolation."""
    seen = directions(WIDTH_PX) @ leaning(tilt_deg, towards_deg).T
    lon, lat = np.degrees(np.arctan2(-seen[..., 1], seen[..., 0])), np.degrees(np.arcsin(np.clip(seen[..., 2], -1, 1)))
    u, v = (lon + 180.0) / 360.0 * WIDTH_PX - 0.5, (90.0 - lat) / 180.0 * WIDTH_PX / 2 - 0.5
    wide = np.pad(np.pad(light, ((0, 0), (8, 8), (0, 0)), mode="wrap"), ((8, 8), (0, 0), (0, 0)), mode="edge")
    return np.stack([map_coordinates(wide[..., c], [v + 8, u + 8], order=3) for c in range(3)], axis=-1)


def vector(found: Any) -> NDArray[Any]:
    assert isinstance(found, Tilt), found
    return lean(found.tilt_deg, found.towards_deg)


def lean(tilt_deg: float, towards_deg: float) -> NDArray[Any]:
    return tilt_deg * np.array([np.cos(np.radians(towards_deg)), np.sin(np.radians(towards_deg))])


def errors_deg(light: NDArray[Any], towards: tuple[float, ...], tilts: tuple[float, ...] = TILTS_DEG) -> NDArray[Any]:
    """How far the found lean, less the panorama's own, is from the one that was added."""
    own = vector(find_tilt(as_file(light)))
    return np.array([
        float(np.hypot(*(vector(find_tilt(as_file(tilted(light, tilt, toward)))) - own - lean(tilt, toward))))
        for tilt in tilts
        for toward in towards
    ])  # fmt: skip


def test_tilts_that_are_added_are_found_within_a_tenth_of_a_degree(interior: NDArray[Any]) -> None:
    errors = errors_deg(interior, (40.0, -130.0), (0.25, 1.0, 3.0))
    assert errors.mean() <= 0.1
    assert errors.max() <= 0.3


@pytest.mark.proof
def test_thirty_tilts_toward_every_side_are_found(interior: NDArray[Any]) -> None:
    errors = errors_deg(interior, (0.0, 47.0, 90.0, 135.0, 200.0, 300.0))
    print(f"30 tilts: mean {errors.mean():.3f}, maximum {errors.max():.3f} deg")
    assert len(errors) == 30
    assert errors.mean() <= 0.1
    assert errors.max() <= 0.3


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1])
def test_a_veil_that_is_added_is_found(interior: NDArray[Any], share: float) -> None:
    light = np.clip(interior, 0.0, 1.0)
    weight = np.cos(np.radians(90.0 - (np.arange(512) + 0.5) / 512 * 180.0))[:, None, None]
    mean = (light * weight).sum(axis=(0, 1)) / (weight.sum() * WIDTH_PX)
    found = find_veil(as_file((1.0 - share) * light + share * mean))
    assert isinstance(found, Veil)
    assert found.at_most_percent == pytest.approx(100.0 * share, abs=found.uncertainty_percent + 0.2)


def test_the_clipped_share_is_that_of_the_light_above_white(interior: NDArray[Any]) -> None:
    for stops in (-1.0, 0.0, 1.0):
        light = interior * 2.0**stops
        over = (light >= 0.99556).any(axis=2)
        weight = np.cos(np.radians(90.0 - (np.arange(512) + 0.5) / 512 * 180.0))
        share = 100.0 * (over.mean(axis=1) * weight).sum() / weight.sum()
        assert find_clipping(as_file(light)).clipped_percent == pytest.approx(share, abs=0.05)


def test_a_whole_real_room_has_no_gap_and_no_copy(interior: NDArray[Any]) -> None:
    found = find_sectors(as_file(interior))
    assert isinstance(found, Sectors)
    assert (found.gaps_deg, found.copies_deg) == ((), ())


def test_doubling_is_never_claimed_on_the_single_shot(interior: NDArray[Any]) -> None:
    from scoring.frame.blind.seams import find_seams

    large = np.repeat(np.repeat(as_file(interior), 2, axis=0), 2, axis=1)
    assert isinstance(find_seams(large), CannotTell)
