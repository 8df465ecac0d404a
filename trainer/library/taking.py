"""From the files of scenarios/ to entries for the shelf: all of them checked, or none taken."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scoring.floor.read import FileProblems, Problem, read_kit, read_plan, read_recipe, read_standard
from trainer.library.models import Edition
from trainer.library.shelf import Entry

Reader = Callable[[bytes], Any]

FOLDERS: dict[str, tuple[str, Reader]] = {
    "standards": (Edition.What.STANDARD, read_standard),
    "kits": (Edition.What.KIT, read_kit),
    "floors": (Edition.What.FLOOR, read_plan),
    "drills": (Edition.What.RECIPE, read_recipe),
}


def entries_in(scenarios: Path) -> list[Entry]:
    """Every file of the four folders, checked. Raises FileProblems naming every faulty file and place."""
    problems: list[Problem] = []
    entries: list[Entry] = []
    for folder, (what, read) in FOLDERS.items():
        for path in sorted((scenarios / folder).glob("*.json")):
            data = path.read_bytes()
            try:
                value = read(data)
            except FileProblems as found:
                problems += [
                    Problem(f"{folder}/{path.name} {problem.where}".strip(), problem.words)
                    for problem in found.problems
                ]
                continue
            name = value.version if what == Edition.What.STANDARD else value.name
            entries.append(Entry(what, name, json.loads(data)))
    problems += _astray(entries)
    if problems:
        raise FileProblems(problems)
    return entries


def _astray(entries: list[Entry]) -> list[Problem]:
    """Names that stand twice, and recipes whose floor or kit is not there."""
    names = [(entry.what, entry.name) for entry in entries]
    problems = [
        Problem(f"{what} {name}", "there are two of this name")
        for what, name in set(names)
        if names.count((what, name)) > 1
    ]
    for entry in entries:
        if entry.what == Edition.What.RECIPE:
            for part, what in (("floor", Edition.What.FLOOR), ("kit", Edition.What.KIT)):
                if (what, entry.body[part]) not in names:
                    problems.append(Problem(f"recipe {entry.name}", f"there is no {part} named {entry.body[part]!r}"))
    return problems


__all__ = ["entries_in"]
