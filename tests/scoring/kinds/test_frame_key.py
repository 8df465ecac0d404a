"""What a key's stored numbers deserve under any house standard: every frame of a case, nothing rendered."""

from __future__ import annotations

from dataclasses import replace

from scoring.drill import Task
from scoring.frame.severity import Numbers
from scoring.kinds.causes import NOTHING
from scoring.kinds.frame_key import known_json, verdicts_of
from scoring.standard import FrameBands, Standard
from tests.scoring.kinds.looked_at import known, task
from tests.scoring.kinds.shipped import standard


def tilted(tilt_deg: float) -> dict[str, object]:
    return known_json(replace(known(NOTHING), numbers=replace(Numbers(), tilt_deg=tilt_deg)))


def case(first_deg: float, after_deg: float | None = None, second_deg: float | None = None) -> Task:
    names = ["frame"] if after_deg is None else ["before", "after"]
    made = task("change", {}, of=known(NOTHING))
    more = {} if after_deg is None else {"after": tilted(after_deg)}
    second = None if second_deg is None else tilted(second_deg)
    takes = dict.fromkeys([*names, "clean"])
    return replace(made, key={**made.key, "known": tilted(first_deg), **more, "second": second, "takes": takes})


def looser(by: float) -> Standard:
    """The house standard with every edge between bands of tilt so much farther."""
    edges = standard().frames.tilt_deg
    bands = tuple(
        replace(band, at_least=band.at_least * by, below=None if band.below is None else band.below * by)
        for band in edges
    )
    frames: FrameBands = replace(standard().frames, tilt_deg=bands)
    return replace(standard(), frames=frames)


def test_a_frame_deserves_what_its_numbers_say_under_each_standard() -> None:
    redo = next(band.at_least for band in standard().frames.tilt_deg if band.verdict == "redo")
    assert verdicts_of(case(redo * 1.2), standard()) == ("redo",)
    assert verdicts_of(case(redo * 1.2), looser(1.5)) == ("either",)
    assert verdicts_of(case(redo * 1.2), looser(20.0)) == ("keep",)


def test_of_two_frames_each_has_its_own() -> None:
    assert verdicts_of(case(30.0, after_deg=0.0), standard()) == ("redo", "keep")
    assert verdicts_of(case(0.0, after_deg=30.0), standard()) == ("keep", "redo")


def test_a_frame_with_two_faults_is_as_bad_as_the_worse() -> None:
    assert verdicts_of(case(0.0, second_deg=30.0), standard()) == ("redo",)
    assert verdicts_of(case(30.0, second_deg=0.0), standard()) == ("redo",)
