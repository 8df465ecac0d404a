"""The skill map: complete, critical where it must be, and cautious where the work can hurt someone."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scoring.border import FileProblems
from scoring.skills import read_skills

FILE = Path(__file__).resolve().parents[2] / "scenarios" / "skills.json"
SKILLS = read_skills(FILE.read_bytes())


def test_it_has_28_skills_in_seven_groups_ten_of_them_critical() -> None:
    assert len(SKILLS.skills) == 28
    assert [group.code for group in SKILLS.groups] == ["A", "B", "C", "D", "E", "V", "G"]
    assert {skill.group for skill in SKILLS.skills} == {group.code for group in SKILLS.groups}
    stars = {skill.code for skill in SKILLS.skills if skill.star}
    assert stars == {"A2", "B1", "B3", "C1", "D2", "E1", "V1", "V3", "G1", "G2"}


def test_it_makes_a_new_phone_and_lens_touch_only_what_hangs_on_them() -> None:
    touched = {skill.code for skill in SKILLS.skills if {"phone", "lens"} & set(skill.kit_parts)}
    assert {"B1", "B2", "B3", "A3", "V3"} <= touched
    assert not touched & {"D1", "D2", "D3", "E1", "G1", "G2", "G3"}


@pytest.mark.parametrize("code", ["A3", "B4", "D2", "D4", "E1", "E4", "E5", "E6", "G1", "G2"])
def test_it_stands_a_caution_where_the_work_can_hurt(code: str) -> None:
    assert SKILLS.of(code).cautions


@pytest.mark.parametrize("code", ["E1", "E4", "E5", "E6", "G1"])
def test_it_defers_to_local_codes_and_the_site_owner(code: str) -> None:
    words = " ".join(SKILLS.of(code).cautions)
    assert "Local codes" in words
    assert "site owner" in words
    assert "no code check" in words or "nothing here is a code check" in words


def test_it_knows_no_other_code() -> None:
    with pytest.raises(KeyError):
        SKILLS.of("Z9")


def test_it_refuses_a_code_that_stands_twice() -> None:
    body = json.loads(FILE.read_bytes())
    body["skills"][1]["code"] = "A1"
    with pytest.raises(FileProblems, match="skills: these codes stand twice: A1"):
        read_skills(json.dumps(body).encode())
