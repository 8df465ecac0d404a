"""The files of a scenarios folder as typed values, or everything that is wrong with them.

    scenarios/floors/studio.json  --read_file-->  ("floor", Plan)
    scenarios/                    --read_scenarios-->  Scenarios, whole, or ScenarioProblems

What form a file has is said by its ``format`` field; where it lies and what it is called must agree with that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from scoring.border import SIZE_MAX_BYTES, FileProblems, Problem, read_value
from scoring.drill import Recipe
from scoring.floor.plan import Plan
from scoring.floor.read import read_kit, read_plan, read_recipe, read_standard
from scoring.kinds import settings_problems
from scoring.mastery.population import StandardSet, read_standard_set
from scoring.rig.kit import Kit
from scoring.skills import Skills, read_skills
from scoring.standard import Standard

Value = Plan | Kit | Standard | Recipe | Skills | StandardSet


@dataclass(frozen=True, slots=True)
class Form:
    """One of the six forms of the scenario format: its reader, and the folder its files lie in."""

    read: Callable[[bytes], Value]
    folder: str


FORMS: Mapping[str, Form] = {
    "levelhead-floor": Form(read_plan, "floors"),
    "levelhead-kit": Form(read_kit, "kits"),
    "levelhead-standard": Form(read_standard, "standards"),
    "levelhead-recipe": Form(read_recipe, "drills"),
    "levelhead-skills": Form(read_skills, ""),
    "levelhead-standard-set": Form(read_standard_set, "rounds"),
}
SCHEMA_FOLDER = "schema"

_OBJECT = TypeAdapter(dict[str, Any])


@dataclass(frozen=True, slots=True)
class Scenarios:
    """All that a scenarios folder holds; floors, kits and recipes by name, standards by version."""

    floors: Mapping[str, Plan]
    kits: Mapping[str, Kit]
    standards: Mapping[str, Standard]
    recipes: Mapping[str, Recipe]
    skills: Skills
    sets: Mapping[str, StandardSet]
    """Standard sets by version."""
    bodies: Mapping[tuple[str, str], dict[str, Any]]
    """The JSON of each file as it was written, by (format, name); skills are named "skills"."""


class ScenarioProblems(ValueError):
    """Everything that is wrong with a scenarios folder, by file."""

    def __init__(self, problems: Mapping[Path, tuple[Problem, ...]]) -> None:
        self.problems = problems
        super().__init__("\n".join(f"{path}: {problem}" for path, found in problems.items() for problem in found))


def scenario_files(folder: Path) -> list[Path]:
    """Every scenario file under a folder, schemas left out, in order."""
    return sorted(path for path in folder.rglob("*.json") if path.parent.name != SCHEMA_FOLDER)


def read_file(path: Path) -> Value:
    """The value in one file. Raises FileProblems, whatever the path leads to."""
    return _read(path)[0]


def check_files(paths: Iterable[Path]) -> dict[Path, tuple[Problem, ...]]:
    """The problems of each file that has any."""
    return _take(paths)[1]


def read_scenarios(folder: Path) -> Scenarios:
    """Everything in a scenarios folder, whole. Raises ScenarioProblems when any file has a problem."""
    values, problems = _take(scenario_files(folder))
    if not problems:
        problems = _check_mentions(values)
    skill_maps = [path for path, (value, _) in values.items() if isinstance(value, Skills)]
    if not problems and len(skill_maps) != 1:
        problems = {folder: (Problem("", f"there are {len(skill_maps)} skill maps; one is needed"),)}
    if problems:
        raise ScenarioProblems(problems)
    found = [value for value, _ in values.values()]
    return Scenarios(
        floors={value.name: value for value in found if isinstance(value, Plan)},
        kits={value.name: value for value in found if isinstance(value, Kit)},
        standards={value.version: value for value in found if isinstance(value, Standard)},
        recipes={value.name: value for value in found if isinstance(value, Recipe)},
        skills=next(value for value in found if isinstance(value, Skills)),
        sets={value.version: value for value in found if isinstance(value, StandardSet)},
        bodies={(value.format, _name(value)): body for value, body in values.values()},
    )


def _name(value: Value) -> str:
    if isinstance(value, Standard | StandardSet):
        return value.version
    return "skills" if isinstance(value, Skills) else value.name


def _read(path: Path) -> tuple[Value, dict[str, Any]]:
    data = _bytes(path)
    body = read_value(_OBJECT, data)
    named = body.get("format")
    form = FORMS.get(named) if isinstance(named, str) else None
    if form is None:
        raise FileProblems([Problem("format", f"must be one of {', '.join(FORMS)}")])
    return form.read(data), body


def _bytes(path: Path) -> bytes:
    """What is in a regular file, never much more of it than a scenario may have."""
    try:
        if not path.is_file():
            raise FileProblems([Problem("", "is a folder, not a file" if path.is_dir() else "there is no such file")])
        with path.open("rb") as file:
            return file.read(SIZE_MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        if isinstance(error, FileProblems):
            raise
        raise FileProblems([Problem("", f"cannot be read: {error}")]) from None


def _take(
    paths: Iterable[Path],
) -> tuple[dict[Path, tuple[Value, dict[str, Any]]], dict[Path, tuple[Problem, ...]]]:
    """Values and problems of files, by path; a name that two files of one form take is a problem of the second."""
    values: dict[Path, tuple[Value, dict[str, Any]]] = {}
    problems: dict[Path, tuple[Problem, ...]] = {}
    taken: dict[tuple[str, str], Path] = {}
    for path in paths:
        try:
            value, body = _read(path)
        except FileProblems as error:
            problems[path] = error.problems
            continue
        found = list(_check_lie(path, value))
        if isinstance(value, Recipe):
            found += settings_problems(value)
        first = taken.setdefault((value.format, _name(value)), path)
        if first is not path:
            found.append(Problem("name", f"is taken by {first}"))
        if found:
            problems[path] = tuple(found)
        else:
            values[path] = (value, body)
    return values, problems


def _check_lie(path: Path, value: Value) -> Iterable[Problem]:
    """A file among the scenarios is called what it calls itself and lies among its like."""
    folder = FORMS[value.format].folder
    others = {form.folder for form in FORMS.values()} - {folder, ""}
    if path.parent.name in others:
        yield Problem("format", f"{value.format} lies in {path.parent.name}/; it belongs into {folder or 'scenarios'}/")
    if not isinstance(value, Standard) and path.stem != _name(value):
        yield Problem("name", f"the file is called {path.stem!r}, but names itself {_name(value)!r}")


def _check_mentions(values: Mapping[Path, tuple[Value, dict[str, Any]]]) -> dict[Path, tuple[Problem, ...]]:
    """What a recipe or a standard set mentions is there; the skills of a group begin with its letter."""
    all_ = [value for value, _ in values.values()]
    floors = {value.name: value for value in all_ if isinstance(value, Plan)}
    kits = {value.name for value in all_ if isinstance(value, Kit)}
    recipes = {value.name: value.skills for value in all_ if isinstance(value, Recipe)}
    codes = {skill.code for value in all_ if isinstance(value, Skills) for skill in value.skills}
    problems: dict[Path, tuple[Problem, ...]] = {}
    for path, (value, _) in values.items():
        found = []
        if isinstance(value, Recipe):
            if value.floor not in floors:
                found.append(Problem("floor", f"there is no floor {value.floor!r}"))
            else:
                found += settings_problems(value, floors[value.floor])
            if value.kit not in kits:
                found.append(Problem("kit", f"there is no kit {value.kit!r}"))
            found += [
                Problem(f"skills[{index}]", f"there is no skill {code!r}")
                for index, code in enumerate(value.skills)
                if code not in codes
            ]
        elif isinstance(value, StandardSet):
            for index, case in enumerate(value.cases):
                if case.recipe not in recipes:
                    found.append(Problem(f"cases[{index}].recipe", f"there is no recipe {case.recipe!r}"))
                elif case.skill not in recipes[case.recipe]:
                    found.append(Problem(f"cases[{index}].skill", f"{case.recipe} gives no evidence on {case.skill}"))
        elif isinstance(value, Skills):
            groups = {group.code for group in value.groups}
            found += [
                Problem(f"skills[{index}].code", f"{skill.code} belongs to no group of this file")
                for index, skill in enumerate(value.skills)
                if skill.group not in groups
            ]
        if found:
            problems[path] = tuple(found)
    return problems


__all__ = [
    "FORMS", "SCHEMA_FOLDER", "ScenarioProblems", "Scenarios", "check_files", "read_file", "read_scenarios",
    "scenario_files",
]  # fmt: skip
