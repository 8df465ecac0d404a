"""Missing sectors and sectors that are shown twice."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.blind.sectors import Sectors, find_sectors
from scoring.frame.blind.sphere import CannotTell
from scoring.frame.shoot import shoot
from tests.scoring.frame.blind.drawn_rooms import speckled_frame, striped_room
from tests.scoring.frame.even_rooms import even_stage
from tests.scoring.frame.spins import take, wrong

ROOM = speckled_frame(1024, seed=11)


@pytest.mark.parametrize("tone", [0, 128, 255])
@pytest.mark.parametrize("start", [200, 980])
def test_a_gap_has_its_width_over_the_edge_of_the_file_too(start: int, tone: int) -> None:
    frame = ROOM.copy()
    frame[:, (start + np.arange(171)) % 1024] = tone
    found = find_sectors(frame)
    assert isinstance(found, Sectors)
    assert found.gaps_deg == (pytest.approx(60.1, abs=0.8),)
    assert found.copies_deg == ()


@pytest.mark.parametrize(("with_kit", "missing"), [("plover-four", 1), ("heron-three", 2), ("bittern-six", 1)])
def test_headings_that_were_not_taken_leave_a_gap_of_their_whole_width(with_kit: str, missing: int) -> None:
    short = take(wrong("F8", missing=float(missing), fill="black"), with_kit=with_kit)
    found = find_sectors(shoot(even_stage(short), short, 1024).rgb)
    assert isinstance(found, Sectors)
    assert found.gaps_deg == (pytest.approx(missing * 360.0 / short.kit.headings, abs=found.uncertainty_deg),)
    assert found.uncertainty_deg <= 0.7


@pytest.mark.parametrize("headings", [4, 6])
def test_a_sector_put_in_twice_is_found_with_its_distance(headings: int) -> None:
    frame = ROOM.copy()
    step = 1024 // headings
    frame[:, 300 : 300 + step] = frame[:, 300 + step : 300 + 2 * step]
    found = find_sectors(frame)
    assert isinstance(found, Sectors)
    assert found.copies_deg[0] == pytest.approx(360.0 / headings, abs=4.0)
    assert found.apart_deg[0] == pytest.approx(360.0 / headings, abs=1.0)
    assert {trace.role for trace in found.traces} == {"copy"}


def test_a_whole_room_has_neither() -> None:
    for seed in range(3):
        for frame in (striped_room(1024, seed=seed), speckled_frame(1024, seed=seed)):
            assert find_sectors(frame) == Sectors((), (), (), 360.0 / 1024, ())


def test_a_frame_of_one_tone_tells_nothing() -> None:
    assert find_sectors(np.full((256, 512, 3), 5, np.uint8)) == CannotTell("sectors", "flat")
