"""The frame as a whole: the same every time, the same in parts, and every heading where the merger puts it."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.frame.faults import FAULTS, Choice
from scoring.frame.merge import BLACK
from scoring.frame.shoot import shoot
from scoring.frame.spin import rays, spin_of
from scoring.frame.take import Fault
from scoring.frame.trace import first_hits
from tests.scoring.frame.even_rooms import clean_stage, even_stage, with_fault
from tests.scoring.frame.spins import take, wrong

WIDTH = 512


def test_it_is_the_same_to_the_last_bit_every_time() -> None:
    given = take(wrong("F6"), wrong("F10"))
    one, two = (shoot(clean_stage(), given, WIDTH) for _ in range(2))
    assert one.rgb.tobytes() == two.rgb.tobytes()
    assert one.linear_cd_m2.tobytes() == two.linear_cd_m2.tobytes()


@pytest.mark.parametrize("code", ["N0", "F9", "F10", "F13", "F8"])
@pytest.mark.parametrize("window", [(100, 60, 130, 90), (470, 0, 90, 256), (-37, 129, 200, 127)])
def test_a_window_is_that_part_of_the_whole(code: str, window: tuple[int, int, int, int]) -> None:
    given = take(Fault(code))
    whole = shoot(clean_stage(), given, WIDTH)
    part = shoot(clean_stage(), given, WIDTH, window)
    left, top, wide, high = window
    columns = np.arange(left, left + wide) % WIDTH
    for name in ("rgb", "linear_cd_m2", "faces", "headings"):
        expected = getattr(whole, name)[top : top + high][:, columns]
        assert np.array_equal(getattr(part, name), expected), name


def test_every_pixel_shows_the_first_face_along_its_heading_s_ray() -> None:
    stage, given = clean_stage(), with_fault("F2", offset_mm=30.0)
    frame, spin = shoot(stage, given, WIDTH), spin_of(given)
    dice = np.random.default_rng(3)
    rows, columns = dice.integers(WIDTH // 10, WIDTH * 2 // 5, 3000), dice.integers(0, WIDTH, 3000)
    lonlat = np.stack([(columns + 0.5) / WIDTH * 360.0 - 180.0, 90.0 - (rows + 0.5) / WIDTH * 360.0], axis=1)
    optic = stage.scene.finishes[stage.scene.finish, 11]
    for heading in spin.headings:
        mine = frame.headings[rows, columns] == heading.index
        faces, ways = first_hits(stage.scene, *rays(heading, lonlat[mine]), heading.shot_bit)
        plain = (faces >= 0) & (optic[faces] == 0)
        assert plain.mean() > 0.5
        assert np.array_equal(frame.faces[rows, columns][mine][plain], faces[plain])
        assert np.allclose(frame.distances_m[rows, columns][mine][plain], ways[plain], rtol=1e-6)


def test_a_spin_that_stopped_is_black_where_nothing_was_taken() -> None:
    frame = shoot(clean_stage(), with_fault("F8", missing=1.0), WIDTH)
    assert (frame.faces == BLACK).mean() == pytest.approx(0.25, abs=0.01)
    upper = frame.rgb[: WIDTH // 3]
    assert (upper[frame.faces[: WIDTH // 3] == BLACK].max(axis=1) == 0).mean() > 0.9


def test_a_repeated_sector_shows_the_last_heading_again() -> None:
    frame = shoot(clean_stage(), with_fault("F8", missing=1.0, fill="repeated"), WIDTH)
    quarter = WIDTH // 4
    inside = np.arange(WIDTH // 2 - quarter + 8 - quarter // 2, WIDTH // 2 - quarter // 2 - 8)
    again, first = frame.linear_cd_m2[:, inside], frame.linear_cd_m2[:, (inside - quarter) % WIDTH]
    assert np.allclose(again, first, rtol=1e-4)


def test_an_exposure_step_is_a_step_of_that_many_stops() -> None:
    plain = shoot(clean_stage(), take(), WIDTH).linear_cd_m2
    stepped = shoot(clean_stage(), with_fault("F15", step_ev=0.7, heading=3.0), WIDTH).linear_cd_m2
    stops = np.log2(stepped[100, :, 1] / plain[100, :, 1])
    assert np.median(stops[:60]) == pytest.approx(0.7, abs=1e-5)
    assert abs(np.median(stops[240:270])) < 1e-5


def test_a_face_too_near_the_seam_is_seen_by_both_headings_with_shares_that_sum_to_one() -> None:
    frame = shoot(clean_stage(), take(), WIDTH)
    assert frame.weights.min() >= 0.5 - 1e-6
    assert frame.weights.max() == pytest.approx(1.0)
    assert set(np.unique(frame.headings)) == {0, 1, 2, 3}


@pytest.mark.parametrize("code", [code for code in FAULTS if code not in ("N0", "F16", "F17", "F18", "F19")])
def test_every_fault_changes_the_frame(code: str) -> None:
    clean = shoot(clean_stage(), take(seed=2), WIDTH)
    faulty = shoot(clean_stage(), take(Fault(code), seed=2), WIDTH)
    assert np.abs(clean.rgb.astype(int) - faulty.rgb).mean() > 0.02


@pytest.mark.parametrize("name", ["heron-three", "plover-four", "bittern-six"])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_every_fault_at_its_end_makes_a_frame_of_numbers(name: str, sign: float) -> None:
    for code, form in FAULTS.items():
        if code in ("F16", "F17", "F18"):
            continue
        values: dict[str, float | str] = {}
        for one in form.parameters:
            if isinstance(one, Choice):
                values[one.name] = one.options[-1]
            else:
                values[one.name] = min(one.high, 2.0) if one.whole else one.high * (sign if one.signed else 1.0)
        given = take(Fault(code, values), with_kit=name)  # type: ignore[arg-type]
        frame = shoot(even_stage(given), given, 128)
        assert np.isfinite(frame.linear_cd_m2).all(), code
        assert frame.linear_cd_m2.min() >= 0.0, code


def test_a_walker_stands_in_the_frame_once_for_each_copy() -> None:
    given = with_fault("F16", copies=3.0)
    stage = even_stage(given)
    frame = shoot(stage, given, WIDTH)
    shots = stage.scene.seen[np.maximum(frame.faces, 0)] & 0x3FFFFFFF
    moved = (frame.faces >= 0) & (shots != 0) & (shots != 0x3FFFFFFF)
    assert set(np.unique(shots[moved])) == {1, 2, 4}


def test_a_thing_that_stirs_is_seen_through() -> None:
    given = with_fault("F17", what="pet", copies=4.0, azimuth_deg=0.0)
    stage = even_stage(given)
    stirred, still = (shoot(stage, one, WIDTH).linear_cd_m2 for one in (given, take()))
    rows = slice(WIDTH // 4, WIDTH * 3 // 8)
    change = np.abs(stirred - still)[rows, WIDTH // 2 - 60 : WIDTH // 2 + 60].max(axis=2)
    assert 0 < (change > 1.0).mean() < 0.6


def test_sizes_and_windows_that_are_none_are_refused() -> None:
    for width, window in ((100, None), (20_000, None), (512, (0, 0, 513, 10)), (512, (0, 250, 10, 10))):
        with pytest.raises(ValueError, match="pixels"):
            shoot(clean_stage(), take(), width, window)
