"""The border: bytes from outside become a typed value here, or a list of everything that is wrong with them.

Bounded before it is parsed (size, nesting, digits), finite, UTF-8 without byte order mark, no key twice. Every
structural problem is reported with its place in the file, written as ``levels[0].spaces[2].outline[4]``.
Whatever the bytes are, only `FileProblems` comes out.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from scoring.standard import SLUG_PATTERN

SIZE_MAX_BYTES = 1_000_000
DEPTH_MAX = 24
DIGITS_MAX = 40
PROBLEMS_MAX = 200
"""A file with more problems than this names the first ones and the number of the rest."""

_TOKEN = re.compile(r'"(?:[^"\\]++|\\.)*+"?|[\[\]{}]', re.DOTALL)
"""A text, whole or cut off by the end, or a bracket; possessive, so that it never looks back."""
_SUBJECT = re.compile(r"^\w+ should ")
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: where in the file, and what, in plain words."""

    where: str
    words: str

    def __str__(self) -> str:
        return f"{self.where}: {self.words}" if self.where else self.words


class FileProblems(ValueError):
    """Everything that is wrong with a file; ``problems`` lists it, in the order of the file."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        shown = list(problems[:PROBLEMS_MAX])
        if len(problems) > PROBLEMS_MAX:
            shown.append(Problem("", f"and {len(problems) - PROBLEMS_MAX} more problems"))
        self.problems: tuple[Problem, ...] = tuple(shown)
        super().__init__("; ".join(str(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type[FileProblems], tuple[tuple[Problem, ...]]]:
        """Sent to another process it is made again of its problems, not of its words."""
        return FileProblems, (self.problems,)


def read_value(adapter: TypeAdapter[T], data: bytes) -> T:
    """The typed value in a JSON file. Raises FileProblems with every structural problem and its place."""
    text = _checked_text(data)
    try:
        return adapter.validate_json(text, strict=True)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=True, include_input=False)
    faulty = [detail["loc"] for detail in details]
    raise FileProblems([Problem(place(d["loc"]), _words(d)) for d in details if not _follows(d, faulty)])


def _follows(detail: ErrorDetails, faulty: Sequence[tuple[int | str, ...]]) -> bool:
    """Whether a list only counts as too short because items of it are faulty themselves."""
    loc = detail["loc"]
    return detail["type"] == "too_short" and any(len(at) > len(loc) and at[: len(loc)] == loc for at in faulty)


def place(loc: tuple[int | str, ...]) -> str:
    """A place in a file: ("levels", 0, "spaces", 2) is "levels[0].spaces[2]"."""
    out = ""
    for step in loc:
        out += f"[{step}]" if isinstance(step, int) else f".{_short(step)}" if out else _short(step)
    return out


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def _checked_text(data: bytes) -> str:
    """The text of a JSON file whose size, depth, numbers and keys are in bounds."""
    if len(data) > SIZE_MAX_BYTES:
        raise FileProblems([Problem("", f"the file has {len(data):,} bytes; at most {SIZE_MAX_BYTES:,} are read")])
    if not data.strip():
        raise FileProblems([Problem("", "the file is empty")])
    if data.startswith(b"\xef\xbb\xbf"):
        raise FileProblems([Problem("", "the file starts with a byte order mark; save it as UTF-8 without one")])
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileProblems([Problem("", f"not UTF-8 at byte {error.start}")]) from None
    depth = 0
    for token in _TOKEN.finditer(text):
        mark = token.group()
        depth += (mark in "[{") - (mark in "]}")
        if depth > DEPTH_MAX:
            words = f"brackets nested deeper than {DEPTH_MAX} at {_line_of(text, token.start())}"
            raise FileProblems([Problem("", words)])
    problems: list[Problem] = []

    def number(literal: str) -> float:
        if len(literal) > DIGITS_MAX or not math.isfinite(float(literal)):
            problems.append(Problem("", f"the number {_short(literal)} is out of bounds"))
            return 0.0
        return float(literal)

    def constant(literal: str) -> float:
        problems.append(Problem("", f"{literal} is no number of JSON"))
        return 0.0

    def pairs(items: list[tuple[str, object]]) -> dict[str, object]:
        seen: dict[str, object] = {}
        for key, value in items:
            if key in seen:
                problems.append(Problem("", f"the key {_short(key)!r} stands twice in one object"))
            seen[key] = value
        return seen

    try:
        value = json.loads(text, parse_float=number, parse_int=number, parse_constant=constant, object_pairs_hook=pairs)
    except json.JSONDecodeError as error:
        words = f"not JSON at line {error.lineno}, column {error.colno}: {error.msg}"
        raise FileProblems([*problems, Problem("", words)]) from None
    problems += [Problem(place(loc), "a control character or half a character pair in a text") for loc in _unfit(value)]
    if problems:
        raise FileProblems(problems)
    return text


def _unfit(value: object, loc: tuple[int | str, ...] = ()) -> Iterator[tuple[int | str, ...]]:
    """Places of texts that hold characters no name or sentence needs."""
    if isinstance(value, str):
        if _CONTROL.search(value):
            yield loc
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _unfit(item, (*loc, index))
    elif isinstance(value, dict):
        for key, item in value.items():
            if _CONTROL.search(key):
                yield loc
            else:
                yield from _unfit(item, (*loc, key))


def _line_of(text: str, at: int) -> str:
    line = text.count("\n", 0, at) + 1
    return f"line {line}, column {at - text.rfind(chr(10), 0, at)}"


def _words(detail: ErrorDetails) -> str:
    """What pydantic found, in the words of this project."""
    context = detail.get("ctx", {})
    match detail["type"]:
        case "missing" | "missing_argument" | "missing_keyword_only_argument":
            return "is missing"
        case "unexpected_keyword_argument" | "extra_forbidden":
            return "is no field of this format"
        case "literal_error":
            return f"must be {context['expected']}"
        case "string_pattern_mismatch" if context["pattern"] == SLUG_PATTERN:
            return "must be small letters, digits and hyphens, like 'guest-room'"
        case "string_pattern_mismatch":
            return f"must be written like {context['pattern']}"
        case "too_short":
            return f"must have at least {context['min_length']} items, not {context['actual_length']}"
        case "too_long":
            return f"must have at most {context['max_length']} items"
        case "string_too_short" if context["min_length"] == 1:
            return "must not be empty"
        case "greater_than_equal":
            return f"must be at least {context['ge']:g}"
        case "less_than_equal":
            return f"must be at most {context['le']:g}"
        case "greater_than":
            return f"must be more than {context['gt']:g}"
        case "less_than":
            return f"must be less than {context['lt']:g}"
        case "bool_type" | "bool_parsing":
            return "must be yes or no (true, false)"
        case "int_type" | "int_from_float" | "int_parsing":
            return "must be a whole number"
        case "value_error":
            return str(context["error"])
        case "dataclass_type" | "dataclass_exact_type":
            return "must be an object with fields"
    return _SUBJECT.sub("must ", detail["msg"])


__all__ = ["DEPTH_MAX", "SIZE_MAX_BYTES", "FileProblems", "Problem", "place", "read_value"]
