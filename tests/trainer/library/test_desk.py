"""The engine at a desk: grade stations and find the fewest from files, in words, as JSON and as drawings."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from django.core.management import CommandError, call_command

from scoring.drill import canonical_json


@pytest.fixture
def floor(tmp_path: Path, two_rooms: dict[str, Any]) -> str:
    path = tmp_path / "two-rooms.json"
    path.write_text(json.dumps(two_rooms))
    return str(path)


def stations_file(folder: Path, stations: Any) -> Path:
    path = folder / "stations.json"
    path.write_text(json.dumps({"stations": stations}))
    return path


def run(command: str, **options: Any) -> str:
    out = StringIO()
    call_command(command, stdout=out, **options)
    return out.getvalue()


def test_it_grades_in_words(floor: str, tmp_path: Path) -> None:
    stations = stations_file(tmp_path, [{"level": 0, "x": 1.4, "y": 1.25}])
    said = run("grade", floor=floor, stations=stations)
    assert "% credit" in said
    assert "den" in said.lower()


def test_the_fewest_pass_their_own_grade(floor: str, tmp_path: Path) -> None:
    found = json.loads(run("fewest", floor=floor, json=True))
    assert found["lower"] <= found["upper"] == len(found["stations"])
    stations = stations_file(tmp_path, [{"level": level, "x": x, "y": y} for level, x, y in found["stations"]])
    grade = json.loads(run("grade", floor=floor, stations=stations, json=True))
    assert grade["credit"] > 0.95
    assert grade["credit"] == pytest.approx(1.0, abs=0.05)


def test_the_json_is_the_same_every_time(floor: str, tmp_path: Path) -> None:
    stations = stations_file(tmp_path, [{"level": 0, "x": 1.4, "y": 1.25}])
    said = [run("grade", floor=floor, stations=stations, json=True) for _ in range(2)]
    assert said[0] == said[1]
    assert canonical_json(json.loads(said[0])) == said[0].strip()


def test_it_draws_the_grade(floor: str, tmp_path: Path) -> None:
    stations = stations_file(tmp_path, [{"level": 0, "x": 1.4, "y": 1.25}])
    run("grade", floor=floor, stations=stations, svg=tmp_path / "grade.svg")
    run("fewest", floor=floor, svg=tmp_path / "fewest.svg")
    for name in ("grade.svg", "fewest.svg"):
        assert ElementTree.parse(tmp_path / name).getroot().tag.endswith("svg")


def test_it_says_in_words_what_is_proven(floor: str) -> None:
    said = run("fewest", floor=floor)
    assert "listed stands" in said
    assert "at least" in said


@pytest.mark.parametrize(
    ("stations", "named"),
    [
        ("[", "not JSON"),
        ('{"stations": [{"level": 0, "x": 1e999, "y": 0}]}', "out of bounds"),
        ('{"stations": [{"level": 0, "x": 1}]}', r"stations\[0\]"),
        ('{"stations": [], "more": 1}', "more"),
        ('{"stations": [{"level": 9, "x": 1, "y": 1}]}', "level"),
    ],
)
def test_a_bad_file_is_named_with_its_fault(stations: str, named: str, floor: str, tmp_path: Path) -> None:
    path = tmp_path / "stations.json"
    path.write_text(stations)
    with pytest.raises(CommandError, match=named):
        run("grade", floor=floor, stations=path)


@pytest.mark.parametrize("floor", ["no-such-floor", "../settings", "/dev/null"])
def test_a_floor_that_is_not_there_is_said_to_be_missing(floor: str, tmp_path: Path) -> None:
    with pytest.raises(CommandError):
        run("grade", floor=floor, stations=stations_file(tmp_path, []))


COMB = {"rings": [[[0, 0], [9, 0], [9, 1], [8, 5], [7, 1], [5, 1], [4.5, 5], [4, 1], [2, 1], [1, 5], [0, 1]]]}
"""Three teeth, each of which needs a guard of its own."""


def test_it_guards_a_bare_polygon(tmp_path: Path) -> None:
    path = tmp_path / "comb.json"
    path.write_text(json.dumps(COMB))
    found = json.loads(run("fewest", polygon=path, json=True, svg=tmp_path / "comb.svg"))
    assert (found["lower"], found["upper"], found["proven"]) == (3, 3, True)
    assert len(ElementTree.parse(tmp_path / "comb.svg").getroot()) == 1 + 2 * 3
    assert "proven fewest" in run("fewest", polygon=path)
    assert json.loads(run("fewest", polygon=path, company="connected", json=True))["upper"] == 3


@pytest.mark.parametrize(
    "rings",
    ["[]", "3", "[[[0, 0], [1, 1]]]", "[[[0, 0], [2, 2], [2, 0], [0, 2]]]", "[[[0, 0], [1e9, 0], [1, 1]]]"],
)
def test_a_bad_polygon_is_refused_with_a_reason(rings: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.json"
    path.write_text(f'{{"rings": {rings}}}')
    with pytest.raises(CommandError, match=r"bad\.json"):
        run("fewest", polygon=path)
