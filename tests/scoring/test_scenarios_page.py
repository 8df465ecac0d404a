"""The page for those who write a file by hand: its examples are sound, and what it promises is so."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from scoring.border import SIZE_MAX_BYTES, FileProblems
from scoring.floor.drawn import STEP_MAX_M
from scoring.floor.footing import from_door_line
from scoring.floor.link_table import link_table
from scoring.floor.listing import listed_stands
from scoring.floor.place import prepare
from scoring.floor.plan import REACH_M
from scoring.floor.read import read_kit, read_plan, read_recipe, read_standard
from scoring.floor.steps import TREAD_MIN_M
from scoring.kinds import REGISTER
from scoring.skills import read_skills

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
PAGE = (SCENARIOS / "README.md").read_text(encoding="utf-8")
WORDS = " ".join(PAGE.split())
FLOOR, RECIPE = (text.encode() for text in re.findall(r"^```json\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL))


def test_its_floor_is_sound_and_can_be_linked_with_every_kit() -> None:
    plan = read_plan(FLOOR)
    standard = read_standard((SCENARIOS / "standards" / "house.json").read_bytes())
    for path in sorted((SCENARIOS / "kits").glob("*.json")):
        place = prepare(plan, read_kit(path.read_bytes()), standard)
        stands = listed_stands(place, target_stands=40)
        rooms = {room.space.id for room in map(place.room, stands) if room is not None}
        assert rooms == {"hall", "room"}
        assert not any(from_door_line(place, 0, room) for room in rooms)
        held = link_table(place, stands, firm=True) > 0.0
        hall = [room is not None and room.space.id == "hall" for room in map(place.room, stands)]
        den = [room is not None and room.space.id == "room" for room in map(place.room, stands)]
        assert held[hall][:, den].any(), "a firm link leads through its door"


def test_its_drill_is_on_its_floor_with_a_kit_and_skills_that_ship() -> None:
    recipe = read_recipe(RECIPE)
    skills = read_skills((SCENARIOS / "skills.json").read_bytes())
    assert recipe.floor == read_plan(FLOOR).name
    assert (SCENARIOS / "kits" / f"{recipe.kit}.json").is_file()
    assert all(skills.of(code) for code in recipe.skills)
    assert f"one of {', '.join(REGISTER)};" in WORDS


def test_it_names_every_folder_and_form() -> None:
    folders = {path.name for path in SCENARIOS.iterdir() if path.is_dir() and any(path.glob("*.json"))}
    for folder in folders:
        assert f"`{folder}/`" in PAGE
    for path in [SCENARIOS / "skills.json", *(p for p in SCENARIOS.glob("*/*.json") if p.parent.name != "schema")]:
        assert f"`{json.loads(path.read_bytes())['format']}`" in PAGE


def test_its_figures_are_those_of_the_program() -> None:
    assert SIZE_MAX_BYTES == 1_000_000
    assert "at most 1 MB" in WORDS
    assert f"no coordinate farther out than {REACH_M:.0f} m" in WORDS
    assert f"risers to {STEP_MAX_M * 1000:.0f} mm, treads from {TREAD_MIN_M * 1000:.0f} mm" in WORDS


def test_the_problem_that_it_quotes_is_what_the_reader_says() -> None:
    body = json.loads(FLOOR)
    body["levels"][0]["openings"][1]["jambs"] = [[2.4, 1.4], [2.4, 2.3]]
    with pytest.raises(FileProblems) as caught:
        read_plan(json.dumps(body).encode())
    assert any(str(problem) in WORDS for problem in caught.value.problems), caught.value
