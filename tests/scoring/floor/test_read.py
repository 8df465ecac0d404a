"""Reading the four forms of file: shipped ones whole, broken ones never in part."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.floor.plan import Plan
from scoring.floor.read import FileProblems, read_kit, read_plan, read_recipe, read_standard

SCENARIOS = Path(__file__).resolve().parents[3] / "scenarios"
READERS: dict[str, Callable[[bytes], Any]] = {
    "floors": read_plan, "kits": read_kit, "standards": read_standard, "drills": read_recipe,
}  # fmt: skip
FILES = [(folder, path) for folder in READERS for path in sorted((SCENARIOS / folder).glob("*.json"))]
STUDIO = (SCENARIOS / "floors" / "studio.json").read_bytes()


def said(data: bytes) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        read_plan(data)
    return [str(problem) for problem in caught.value.problems]


def whole_or_words(data: bytes) -> bool:
    """Whether the bytes give a plan or at least one problem in words; anything else raised comes through."""
    try:
        return isinstance(read_plan(data), Plan)
    except FileProblems as error:
        return bool(error.problems) and all(problem.words for problem in error.problems)


def changed(change: Callable[[dict[str, Any]], None]) -> bytes:
    body = json.loads(STUDIO)
    change(body)
    return json.dumps(body).encode()


@pytest.mark.parametrize(("folder", "path"), FILES, ids=lambda part: getattr(part, "stem", part))
def test_it_reads_every_shipped_file(folder: str, path: Path) -> None:
    value = READERS[folder](path.read_bytes())
    assert value.format == json.loads(path.read_bytes())["format"]


def test_it_ships_fourteen_floors_and_kits_of_three_four_and_six_headings() -> None:
    assert len(list((SCENARIOS / "floors").glob("*.json"))) >= 14
    kits = [read_kit(path.read_bytes()) for path in (SCENARIOS / "kits").glob("*.json")]
    assert {kit.headings for kit in kits} == {3, 4, 6}
    for part in ("lens_height_m", "leg_circle_m", "clamp", "lens", "battery"):
        assert len({getattr(kit, part) for kit in kits}) == len(kits), f"kits differ in {part}"


@pytest.mark.parametrize("path", sorted((SCENARIOS / "floors").glob("*.json")), ids=lambda path: path.stem)
def test_it_ships_rooms_that_look_lived_in(path: Path) -> None:
    plan: Plan = read_plan(path.read_bytes())
    assert all(level.things for level in plan.levels)
    openings = [opening for level in plan.levels for opening in level.openings]
    assert any(opening.leaf for opening in openings)
    assert any(opening.kind == "window" for opening in openings)


def test_it_refuses_another_version_and_another_format() -> None:
    assert said(changed(lambda body: body.update(version=2))) == ["version: must be 1"]
    assert said(changed(lambda body: body.update(format="levelhead-kit"))) == ["format: must be 'levelhead-floor'"]


@pytest.mark.parametrize("coordinate", [1e9, -1e9, 1e308, 500.001])
def test_it_refuses_coordinates_out_of_reach_at_their_place(coordinate: float) -> None:
    def far(body: dict[str, Any]) -> None:
        body["levels"][0]["spaces"][2]["outline"][3][1] = coordinate

    (line,) = said(changed(far))
    assert line.startswith("levels[0].spaces[2].outline[3][1]: must be ")


def test_it_refuses_a_ring_that_repeats_its_first_corner() -> None:
    def close(body: dict[str, Any]) -> None:
        outline = body["levels"][0]["spaces"][0]["outline"]
        outline.append(outline[0])

    assert said(changed(close)) == ["levels[0].spaces[0].outline: the last corner repeats the first; leave it out"]


def test_it_says_how_many_items_are_missing() -> None:
    assert said(changed(lambda body: body.update(levels=[]))) == ["levels: must have at least 1 items, not 0"]


def test_it_tells_all_problems_of_a_plan_at_once() -> None:
    def break_four(body: dict[str, Any]) -> None:
        level = body["levels"][0]
        level["things"][0]["space"] = "nowhere"
        level["openings"][0]["head_m"] = 9.0
        level["spaces"][5]["id"] = "bath"
        body["entrance"] = "moon"

    found = "\n".join(said(changed(break_four)))
    for place in (
        "entrance: ",
        "levels[0].spaces[5].id: ",
        "levels[0].things[0].space: ",
        "levels[0].openings[0].head_m",
    ):
        assert place in found


HOSTILE = st.sampled_from(
    [None, True, -1, 0, 1e9, -0.0, 1e-300, "", "outside", "studio", [], {}, [[0, 0]], [[0, 0], [1, 1], [1, 0], [0, 1]]]
)


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_it_lets_nothing_but_file_problems_out_of_mutated_plans(data: st.DataObject) -> None:
    body = copy.deepcopy(json.loads(STUDIO))
    for _ in range(data.draw(st.integers(1, 3))):
        at: Any = body
        while True:
            keys = list(at) if isinstance(at, dict) else list(range(len(at)))
            if not keys:
                break
            key = data.draw(st.sampled_from(keys))
            if isinstance(at[key], (dict, list)) and at[key] and data.draw(st.integers(0, 4)):
                at = at[key]
                continue
            match data.draw(st.integers(0, 3)):
                case 0:
                    del at[key]
                case 1:
                    at[key] = copy.deepcopy(data.draw(HOSTILE))
                case 2 if isinstance(at, list):
                    at.append(copy.deepcopy(at[key]))
                case _ if isinstance(at[key], float):
                    at[key] = data.draw(st.floats(-600, 600))
            break
    assert whole_or_words(json.dumps(body).encode())


@settings(max_examples=80, deadline=None)
@given(st.integers(0, len(STUDIO)), st.integers(0, 40), st.binary(max_size=20))
def test_it_lets_nothing_but_file_problems_out_of_spliced_bytes(at: int, cut: int, patch: bytes) -> None:
    assert whole_or_words(STUDIO[:at] + patch + STUDIO[at + cut :])
