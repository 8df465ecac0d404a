"""A scenarios folder as a whole: what its files say of each other, and the command that tells it."""

from __future__ import annotations

import json
import shutil
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command

from scoring.border import SIZE_MAX_BYTES, FileProblems
from scoring.schema import schema_files
from trainer.library.files import ScenarioProblems, check_files, read_file, read_scenarios, scenario_files

HOME = Path(settings.SCENARIOS)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the shipped scenarios that a test may spoil."""
    return Path(shutil.copytree(HOME, tmp_path / "scenarios"))


def spoil(path: Path, **fields: Any) -> None:
    path.write_text(json.dumps({**json.loads(path.read_text()), **fields}))


def problems(folder: Path) -> list[str]:
    with pytest.raises(ScenarioProblems) as caught:
        read_scenarios(folder)
    return [
        f"{path.relative_to(folder)} {problem}" for path, found in caught.value.problems.items() for problem in found
    ]


def check(*paths: Path) -> tuple[int, str, str]:
    """Exit code, output and complaints of `manage.py scenarios check`."""
    out, err = StringIO(), StringIO()
    try:
        call_command("scenarios", "check", *map(str, paths), stdout=out, stderr=err)
    except SystemExit as stop:
        return int(stop.code or 0), out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_it_reads_the_shipped_folder_whole() -> None:
    scenarios = read_scenarios(HOME)
    assert set(scenarios.floors) == {path.stem for path in (HOME / "floors").glob("*.json")}
    assert set(scenarios.recipes) == {path.stem for path in (HOME / "drills").glob("*.json")}
    assert len(scenarios.skills.skills) == 28
    assert scenarios.bodies["levelhead-floor", "studio"] == json.loads((HOME / "floors" / "studio.json").read_text())


def test_it_gives_nothing_when_one_file_is_broken(folder: Path) -> None:
    (folder / "kits" / "heron-three.json").write_text('{"format": "levelhead-kit"')
    found = problems(folder)
    assert len(found) == 1
    assert found[0].startswith("kits/heron-three.json not JSON at line 1")


def test_it_finds_a_recipe_whose_floor_or_kit_is_not_there(folder: Path) -> None:
    recipe = min((folder / "drills").glob("*.json"))
    spoil(recipe, floor="moon", kit="none")
    assert problems(folder) == [
        f"drills/{recipe.name} floor: there is no floor 'moon'",
        f"drills/{recipe.name} kit: there is no kit 'none'",
    ]


@pytest.mark.parametrize(
    ("drill", "settings", "said"),
    [
        ("place-studio", {"limit_s": -1}, "settings.limit_s: must be more than 0"),
        ("place-studio", {"limits": 3}, "settings.limits: is no field of this format"),
        ("place-studio", {"vary": "no"}, "settings.vary: must be yes or no"),
        ("thin-l-rooms", {"extra": 2.5}, "settings.extra: must be a whole number"),
        ("join-one-bedroom", {"extra": 2}, "settings.extra: is no field of this format"),
        ("stand-which-stair", {"mode": "worst"}, "settings.mode: must be 'which' or 'best'"),
        ("stand-which-stair", {"spaces": ["hall", "Hall"]}, "settings.spaces[1]: must be small letters"),
        ("stand-which-stair", {"spaces": ["hall", "moat"]}, "settings.spaces[1]: floor 'two-storey-dogleg' has no"),
        ("threshold-town-house", {"spaces": ["moat"]}, "settings.spaces[0]: floor 'narrow-town-house' has no"),
    ],
)
def test_it_finds_settings_that_the_kind_does_not_have(
    folder: Path, drill: str, settings: dict[str, Any], said: str
) -> None:
    spoil(folder / "drills" / f"{drill}.json", settings=settings)
    (found,) = problems(folder)
    assert found.startswith(f"drills/{drill}.json {said}")


def test_it_finds_a_file_under_another_name_or_in_another_folder(folder: Path) -> None:
    shutil.move(folder / "floors" / "studio.json", folder / "kits" / "flat.json")
    found = problems(folder)
    assert "kits/flat.json format: levelhead-floor lies in kits/; it belongs into floors/" in found
    assert "kits/flat.json name: the file is called 'flat', but names itself 'studio'" in found


def test_it_finds_a_name_that_is_taken_and_a_missing_skill_map(folder: Path) -> None:
    (folder / "floors" / "more").mkdir()
    shutil.copy(folder / "floors" / "studio.json", folder / "floors" / "more" / "studio.json")
    assert any("name: is taken by" in line for line in problems(folder))
    shutil.rmtree(folder / "floors" / "more")
    (folder / "skills.json").unlink()
    assert problems(folder)


def test_it_refuses_what_is_no_scenario_file(tmp_path: Path) -> None:
    big = tmp_path / "big.json"
    with big.open("wb") as file:
        file.truncate(50_000_000)
    other = tmp_path / "other.json"
    other.write_text('{"format": ["levelhead-kit"]}')
    for path, words in (
        (tmp_path, "is a folder, not a file"),
        (tmp_path / "none.json", "there is no such file"),
        (Path("/dev/null"), "there is no such file"),
        (Path("a\0b"), "there is no such file"),
        (big, f"at most {SIZE_MAX_BYTES:,} are read"),
        (other, "format: must be one of levelhead-floor"),
    ):
        with pytest.raises(FileProblems, match=words):
            read_file(path)


def test_it_never_leaves_schemas_among_the_scenarios() -> None:
    assert not any(path.parent.name == "schema" for path in scenario_files(HOME))
    assert check_files(scenario_files(HOME)) == {}


def test_the_command_says_that_all_is_well() -> None:
    code, out, err = check()
    assert (code, err) == (0, "")
    assert out == f"{len(scenario_files(HOME))} files, no problem\n"


def test_the_command_tells_every_problem_with_file_and_place(folder: Path) -> None:
    studio, kit = folder / "floors" / "studio.json", folder / "kits" / "plover-four.json"
    spoil(studio, entrance="moon", north_deg=999)
    spoil(kit, headings=1, colour="red")
    code, out, err = check(folder)
    assert (code, out) == (1, "")
    assert f"{studio}: north_deg: must be at most 360" in err
    assert f"{kit}: headings: must be at least 3" in err
    assert f"{kit}: colour: is no field of this format" in err
    assert check(studio)[0] == 1
    assert check(folder / "kits" / "heron-three.json") == (0, "1 files, no problem\n", "")


def test_the_command_writes_the_schemas(folder: Path, settings: Any) -> None:
    settings.SCENARIOS = folder
    for path in (folder / "schema").glob("*"):
        path.unlink()
    call_command("scenarios", "schema", stdout=StringIO())
    assert {path.name: path.read_text() for path in (folder / "schema").glob("*")} == schema_files()


def test_the_command_goes_through_a_folder_past_what_it_cannot_read(tmp_path: Path) -> None:
    good, bad, big = tmp_path / "heron-three.json", tmp_path / "bad.json", tmp_path / "deeper" / "big.json"
    shutil.copy(HOME / "kits" / "heron-three.json", good)
    bad.write_bytes(b'{"format": "levelhead-floor", "version": 7}')
    big.parent.mkdir()
    with big.open("wb") as file:
        file.truncate(5_000_000)
    (tmp_path / "folder.json").mkdir()
    code, out, err = check(tmp_path)
    assert (code, out) == (1, "")
    assert f"{bad}: version: must be 1" in err
    assert f"{big}: the file has " in err
    assert f"{tmp_path / 'folder.json'}: is a folder, not a file" in err
    assert str(good) not in err
    assert check(good)[0] == 0
    assert check(tmp_path / "none.json")[0] == 1
