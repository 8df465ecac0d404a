"""The rules of the house as code: what stands where, how long a module may be, which words are used."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CEILING = 400
LONGER_WITH_REASON: dict[str, str] = {}
"""Module -> why it may pass the ceiling."""

NAMED_BY_DJANGO = {"trainer/config/sqlite/base.py"}
"""Django finds a database backend by a module of this name."""
BARRED_NAMES = {"utils", "helpers", "common", "misc", "core", "base", "shared", "tools"}
BARRED_WORDS = {"quiz", "lesson", "student", "classroom", "homework"}


def modules(*folders: str) -> Iterator[Path]:
    for folder in folders:
        for path in sorted((ROOT / folder).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path


def names(paths: Iterator[Path]) -> list[str]:
    return [str(path.relative_to(ROOT)) for path in paths]


def test_it_has_the_top_level_that_the_readme_promises() -> None:
    promised = [
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "LICENSE",
        "manage.py",
        "pyproject.toml",
        "Makefile",
        ".ci/run",
    ]
    folders = ["scenarios", "scoring", "trainer", "tests", "docs", "bench"]
    missing = [name for name in promised if not (ROOT / name).is_file()]
    missing += [name for name in folders if not (ROOT / name).is_dir()]
    assert not missing, f"the tree says what the product is; missing: {missing}"


@pytest.mark.parametrize("module", names(modules("scoring", "trainer", "bench", "tests")))
def test_no_module_passes_the_ceiling(module: str) -> None:
    lines = len((ROOT / module).read_text().splitlines())
    if module in LONGER_WITH_REASON:
        assert lines > CEILING, f"{module} no longer needs its exception: take it out of the list"
    else:
        assert lines <= CEILING, f"{module} has {lines} lines; split it by purpose (ceiling {CEILING})"


def test_no_folder_or_module_is_a_drawer_for_odds_and_ends() -> None:
    drawers = [path for path in modules("scoring", "trainer", "tests") if {path.stem, path.parent.name} & BARRED_NAMES]
    found = {str(path.relative_to(ROOT)) for path in drawers} - NAMED_BY_DJANGO
    assert not found, f"name it for what it is for: {sorted(found)}"


def test_scenarios_hold_content_only() -> None:
    code = [path for path in (ROOT / "scenarios").rglob("*") if path.is_file() and path.suffix not in {".json", ".md"}]
    assert not code, f"scenarios/ is content, no code: {code}"


@pytest.mark.parametrize("module", names(modules("scoring", "trainer")))
def test_every_module_opens_by_saying_what_it_is_for(module: str) -> None:
    tree = ast.parse((ROOT / module).read_text())
    assert ast.get_docstring(tree) or not tree.body, f"{module}: say in one line what it is for"


def public(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node


@pytest.mark.parametrize("module", names(modules("scoring")))
def test_every_public_name_of_scoring_is_documented(module: str) -> None:
    bare = [node.name for node in public(ast.parse((ROOT / module).read_text())) if not ast.get_docstring(node)]
    assert not bare, f"{module}: a public docstring gives shapes, units, errors and source; missing on {bare}"


UNITLESS = re.compile(r"(?:^|_)(?:length|width|height|depth|distance|radius|area|angle|tilt|luminance)$")


@pytest.mark.parametrize("module", names(modules("scoring")))
def test_a_quantity_carries_its_unit_in_its_name(module: str) -> None:
    tree = ast.parse((ROOT / module).read_text())
    fields = [
        f"{node.name}.{item.target.id}"
        for node in tree.body
        if isinstance(node, ast.ClassDef)
        for item in node.body
        if isinstance(item, ast.AnnAssign)
        and isinstance(item.target, ast.Name)
        and "float" in ast.unparse(item.annotation)
        and UNITLESS.search(item.target.id)
    ]
    assert not fields, f"{module}: name the unit (height_m, tilt_deg): {fields}"


def test_scoring_reads_no_clock_disk_or_chance() -> None:
    barred = re.compile(
        r"^\s*(?:import|from) (?:time|datetime|secrets|os|pathlib|tempfile|logging)\b"
        r"|^import random$|^from random import (?!Random$)|\bRandom\(\)|default_rng\(\)",
        re.M,
    )
    found = [str(path.relative_to(ROOT)) for path in modules("scoring") if barred.search(path.read_text())]
    assert not found, f"time, randomness and files are arguments of scoring, never hidden inputs: {found}"


def test_it_keeps_to_its_own_words() -> None:
    found = []
    for path in modules("scoring", "trainer"):
        words = set(re.findall(r"[a-z]+", path.read_text().lower()))
        found += [f"{path.relative_to(ROOT)}: {word}" for word in sorted(words & BARRED_WORDS)]
    assert not found, f"one word for each thing (recipe, task, answer, attempt, mark, grade): {found}"


def test_every_drill_kind_is_four_files_of_one_name() -> None:
    from scoring.kinds import REGISTER

    missing = []
    for name in REGISTER:
        for place in (
            f"scoring/kinds/{name}.py",
            f"trainer/templates/drills/kinds/{name}.html",
            f"trainer/static/drills/{name}.js",
            f"tests/scoring/kinds/test_{name}.py",
        ):
            if not (ROOT / place).is_file():
                missing.append(place)
    assert not missing, f"a kind is four files and a register line; missing: {missing}"


def test_locks_name_no_registry() -> None:
    locks = sorted(ROOT.glob("requirements*.txt"))
    assert locks, "the lock files are part of the house"
    assert not [lock.name for lock in locks if "://" in lock.read_text()]


def test_pages_carry_no_inline_style_or_script() -> None:
    found = []
    for page in sorted((ROOT / "trainer" / "templates").rglob("*.html")):
        text = page.read_text()
        if re.search(r"\sstyle=|\son[a-z]+=\"", text):
            found.append(str(page.relative_to(ROOT)))
    assert not found, f"the content policy refuses inline style and handlers: {found}"
