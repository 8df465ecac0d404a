"""Doubling from echoes: found where it is, with its angle; not found in a clean room; "cannot tell" on patterns."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.blind.seams import Seams, find_seams
from scoring.frame.blind.sphere import CannotTell
from tests.scoring.frame.blind.drawn_rooms import doubled_at_seams, speckled_frame, striped_room

ROOM = speckled_frame(seed=7)


@pytest.mark.parametrize("doubling_deg", [1.2, 1.8, 2.6])
@pytest.mark.parametrize("headings", [4, 6])
def test_it_finds_doubled_seams_with_their_angle(headings: int, doubling_deg: float) -> None:
    found = find_seams(doubled_at_seams(ROOM, headings, doubling_deg, feather_deg=72.0 / headings), headings)
    assert isinstance(found, Seams)
    assert len(found.doubles) >= 2
    between = 360.0 / headings
    for double in found.doubles:
        assert double.doubling_deg == pytest.approx(doubling_deg, abs=0.15)
        off = (double.azimuth_deg - between / 2.0 + between / 2.0) % between - between / 2.0
        assert abs(off) <= 14.0, "no seam is anywhere near"


def test_a_clean_room_is_never_called_doubled() -> None:
    for seed in (1, 2, 3):
        assert isinstance(find_seams(speckled_frame(seed=seed)), CannotTell)


def test_a_repeated_pattern_is_no_doubling() -> None:
    tiles = np.where((np.arange(2048) // 8) % 2, 200, 60).astype(np.uint8)
    frame = np.repeat(np.tile(tiles, (1024, 1))[..., None], 3, axis=2)
    found = find_seams(frame)
    assert isinstance(found, CannotTell)
    assert found.why == "repeated-pattern"
    assert found.traces


def test_one_seam_alone_is_not_enough_to_say_so() -> None:
    found = find_seams(doubled_at_seams(ROOM, 1, 2.0), 4)
    assert isinstance(found, CannotTell)
    assert found.why == "weak-peaks"
    assert found.traces


def test_stripes_that_run_from_floor_to_ceiling_are_no_doubled_seam() -> None:
    for seed in (1, 2):
        assert isinstance(find_seams(striped_room(1024, seed=seed)), CannotTell)


def test_a_plain_frame_and_a_small_one_tell_nothing() -> None:
    assert find_seams(np.full((1024, 2048, 3), 90, np.uint8)) == CannotTell("seams", "few-edges")
    assert find_seams(np.full((256, 512, 3), 90, np.uint8)) == CannotTell("seams", "too-small")


def test_a_wide_frame_is_read_at_half_its_scale() -> None:
    wide = np.repeat(np.repeat(doubled_at_seams(speckled_frame(4096, seed=7), 4, 1.5), 2, axis=0), 2, axis=1)
    found = find_seams(wide, 4)
    assert isinstance(found, Seams)
    assert found.worst_deg == pytest.approx(1.5, abs=0.1)
