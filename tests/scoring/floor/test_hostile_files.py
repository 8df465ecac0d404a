"""Whole hostile files against every reader: a shipped file that was spoiled on its way, or was never one."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.border import SIZE_MAX_BYTES, FileProblems
from scoring.floor.read import read_kit, read_plan, read_recipe, read_standard
from scoring.skills import read_skills

SCENARIOS = Path(__file__).resolve().parents[3] / "scenarios"
READERS: tuple[Callable[[bytes], Any], ...] = (read_plan, read_kit, read_standard, read_recipe, read_skills)
STAIRS = (SCENARIOS / "floors" / "two-storey-dogleg.json").read_bytes()
SLOPES = (SCENARIOS / "floors" / "attic.json").read_bytes()


def said(read: Callable[[bytes], Any], data: bytes) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        read(data)
    return [str(problem) for problem in caught.value.problems]


HOSTILE = {
    "empty": (b"", "the file is empty"),
    "marked": (b"\xef\xbb\xbf" + STAIRS, "byte order mark"),
    "wide characters": (STAIRS.decode().encode("utf-16"), "not UTF-8 at byte 0"),
    "a stray byte": (STAIRS.replace(b'"title": "', b'"title": "\xc3\x28', 1), "not UTF-8 at byte"),
    "five megabytes": (STAIRS + b" " * 5_000_000, f"at most {SIZE_MAX_BYTES:,} are read"),
    "deep": (b"[" * 100_000 + b"]" * 100_000, "brackets nested deeper"),
    "deep in a field": (STAIRS.replace(b'"levels": [', b'"levels": [' + b"[" * 100_000, 1), "brackets nested deeper"),
    "cut off": (STAIRS[: len(STAIRS) // 2], "not JSON at line"),
    "no number": (STAIRS.replace(b'"elevation_m": 0.0', b'"elevation_m": NaN', 1), "NaN is no number of JSON"),
    "endless": (STAIRS.replace(b'"elevation_m": 0.0', b'"elevation_m": 1e999', 1), "1e999 is out of bounds"),
    "giant": (STAIRS.replace(b'"version": 1', b'"version": ' + b"1" * 5000, 1), "is out of bounds"),
    "twice": (STAIRS.replace(b'"version": 1', b'"version": 1, "version": 1', 1), "the key 'version' stands twice"),
}  # fmt: skip


@pytest.mark.parametrize("read", READERS, ids=lambda read: read.__name__)
@pytest.mark.parametrize("case", HOSTILE)
def test_it_is_refused_by_every_reader_in_the_same_words(case: str, read: Callable[[bytes], Any]) -> None:
    data, words = HOSTILE[case]
    assert any(words in line for line in said(read, data))


@pytest.mark.parametrize("read", READERS, ids=lambda read: read.__name__)
@pytest.mark.parametrize("data", [b"null", b"1", b'"floor"', b"[]", b"{}", b"true"])
def test_it_is_not_json_of_the_right_form_and_says_so(data: bytes, read: Callable[[bytes], Any]) -> None:
    lines = said(read, data)
    assert any("must be an object" in line or "is missing" in line for line in lines), lines


def test_it_reports_the_faults_of_form_all_at_once() -> None:
    body = json.loads(STAIRS)
    level = body["levels"][0]
    level["spaces"][0]["outline"][1][0] = 1e9
    level["spaces"][1]["use"] = "throne room"
    level["openings"][0]["depth_m"] = -0.1
    del level["things"][0]["height_m"]
    body["flights"][0]["risers"] = 10**30
    lines = said(read_plan, json.dumps(body).encode())
    for place in (
        "levels[0].spaces[0].outline[1][0]: must be at most 500",
        "levels[0].spaces[1].use: must be 'living', 'kitchen'",
        "levels[0].openings[0].depth_m: must be more than 0",
        "levels[0].things[0].height_m: is missing",
        "flights[0].risers: must be",
    ):
        assert any(line.startswith(place) for line in lines), lines
    assert len(lines) == 5


def places(value: Any, loc: tuple[int | str, ...] = ()) -> Iterator[tuple[int | str, ...]]:
    """Where a value of a file stands, for all of them."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*loc, key)
        yield from places(item, (*loc, key))


VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**25), 10**25), st.text(max_size=4),
    st.floats(-40, 40), st.floats(allow_nan=False, allow_infinity=False),
    st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), max_size=5), st.just({}),
)  # fmt: skip
BODIES = [json.loads(data) for data in (STAIRS, SLOPES)]
PLACES = [[loc for loc in places(body) if loc[0] != "title"] for body in BODIES]


@settings(max_examples=80, deadline=None)
@given(st.sampled_from([0, 1]), st.data())
def test_it_lets_nothing_but_file_problems_out_of_spoiled_stairs_and_slopes(which: int, data: st.DataObject) -> None:
    body = copy.deepcopy(BODIES[which])
    for _ in range(data.draw(st.integers(1, 2))):
        *way, last = data.draw(st.sampled_from(PLACES[which]))
        at: Any = body
        try:
            for step in way:
                at = at[step]
            at[last] = data.draw(VALUES)
        except (KeyError, IndexError, TypeError):
            continue  # what stood there was replaced a moment ago
    try:
        words = [read_plan(json.dumps(body).encode()).title]
    except FileProblems as error:
        words = [problem.words for problem in error.problems]
    assert words
    assert all(words)
