"""Bytes from outside: whatever they are, a typed value or a list of problems comes out, never anything else."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from scoring.border import DEPTH_MAX, PROBLEMS_MAX, SIZE_MAX_BYTES, FileProblems, read_value
from scoring.rig.kit import Kit

ANYTHING = TypeAdapter(Any)
KIT = TypeAdapter(Kit)


def words(data: bytes, adapter: TypeAdapter[Any] = ANYTHING) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        read_value(adapter, data)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "the file is empty"),
        (b" \n\t", "the file is empty"),
        (b"\xef\xbb\xbf{}", "byte order mark"),
        (b'{"a": "\xff"}', "not UTF-8 at byte 7"),
        (b"\xff\xfe{\x00}\x00", "not UTF-8 at byte 0"),
        (b"{", "not JSON at line 1, column 2"),
        (b'{"a": 1,}', "not JSON at line 1"),
        (b"{} {}", "not JSON at line 1, column 4"),
        (b"\x00", "not JSON"),
        (b'{"a": NaN}', "NaN is no number of JSON"),
        (b"[-Infinity]", "-Infinity is no number of JSON"),
        (b"[1e999]", "the number 1e999 is out of bounds"),
        (b"[-1e999]", "the number -1e999 is out of bounds"),
        (b"[" + b"9" * 400 + b"]", "is out of bounds"),
        (b"[" + b"9" * 10_000 + b"]", "is out of bounds"),
        (b'{"a": 1, "a": 2}', "the key 'a' stands twice"),
        (b'{"a": ["x\\u0000"]}', "a[0]: a control character"),
        (b'{"a": "\\ud800"}', "half a character pair"),
        (b'{"\\ud800": 1}', "half a character pair"),
        (b"[" * 100_000, f"brackets nested deeper than {DEPTH_MAX} at line 1, column {DEPTH_MAX + 1}"),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "brackets nested deeper"),
        (b" " * (SIZE_MAX_BYTES + 1), "at most 1,000,000 are read"),
    ],
)  # fmt: skip
def test_it_says_what_is_wrong_with_hostile_bytes(data: bytes, said: str) -> None:
    assert any(said in line for line in words(data)), words(data)


def test_it_refuses_fifty_megabytes_without_parsing_them() -> None:
    assert words(b"[" * 50_000_000) == [f"the file has 50,000,000 bytes; at most {SIZE_MAX_BYTES:,} are read"]


def test_it_takes_brackets_in_texts_for_texts() -> None:
    text = "[" * 200 + '"' + "{" * 200
    assert read_value(ANYTHING, b'["' + text.replace('"', '\\"').encode() + b'"]') == [text]


def test_it_scans_a_text_that_never_ends_once() -> None:
    # 900,000 bytes of escaped quotation marks: a scan that looks back from each of them would take hours.
    assert any("not JSON" in line for line in words(b'"' + b'\\"' * 450_000))


def test_it_names_every_structural_problem_with_its_place() -> None:
    data = b'{"format": "levelhead-kit", "version": 2, "name": "No Slug", "headings": "4", "lens": {"field": 1}}'
    found = words(data, KIT)
    for line in (
        "version: must be 1",
        "name: must be small letters, digits and hyphens, like 'guest-room'",
        "headings: must be a whole number",
        "lens.field: is no field of this format",
        "lens.mount: is missing",
        "battery: is missing",
    ):
        assert line in found


def test_it_takes_no_text_or_truth_value_for_a_number() -> None:
    number = TypeAdapter(float)
    assert read_value(number, b"3") == 3.0
    assert words(b'"3"', number) == ["must be a valid number"]
    assert words(b"true", number) == ["must be a valid number"]


def test_it_tells_the_first_of_very_many_problems_and_counts_the_rest() -> None:
    found = words(b"[" + b'"x",' * 999 + b'"x"]', TypeAdapter(list[int]))
    assert len(found) == PROBLEMS_MAX + 1
    assert found[-1] == f"and {1000 - PROBLEMS_MAX} more problems"


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=200) | st.text(alphabet='[]{}",:0123456789.eE+-\\u dtrfalsn', max_size=80).map(str.encode))
def test_it_lets_nothing_but_file_problems_out(data: bytes) -> None:
    assert words(data, KIT)
