"""Rows of a form for a typed value of the scenario format, made from its own schema, and the value back from a form.

type --rows_of--> Row, Row, ...   each with label, unit, bounds, words, and what is wrong with it
form --body_of--> JSON            for the same reader that reads files
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from pydantic import TypeAdapter

from scoring.border import Problem
from trainer.library.labels import LABELS, WORDS

UNITS = {
    "m": "m", "mm": "mm", "deg": "°", "share": "of 1", "hours": "h", "mah": "mAh", "ev": "EV", "count": "",
    "mired": "mired", "levels": "levels of 255", "hour": "per hour",
}  # fmt: skip
GIVEN = frozenset({"format", "version", "name"})
"""Fields that nobody types."""


@dataclass(frozen=True, slots=True)
class Row:
    """One field of a form."""

    path: str
    label: str
    unit: str
    what: str
    """number, whole, words, long, choice, or yes for what holds or does not."""
    value: Any
    least: float | None
    most: float | None
    options: tuple[str, ...]
    words: str
    problems: tuple[str, ...]


def rows_of(form: type, body: Mapping[str, Any], problems: Iterable[Problem] = ()) -> list[Row]:
    """The rows for every plain field of a border dataclass, the title first, nested ones last; lists are left out."""
    schema = TypeAdapter(form).json_schema()
    told: dict[str, list[str]] = {}
    for problem in problems:
        told.setdefault(problem.where, []).append(problem.words)
    rows = list(_rows(schema, schema.get("$defs", {}), body, "", told))
    return sorted(rows, key=lambda row: (row.path != "title", "." in row.path))


def body_of(form: type, fields: Mapping[str, str], given: Mapping[str, Any]) -> dict[str, Any]:
    """A body from the fields of a form: ``given`` with what was typed put over it. What is no number stays text,
    and the reader says so."""
    body: dict[str, Any] = _copied(given)
    for row in rows_of(form, given):
        if row.path not in fields:
            continue
        typed = fields[row.path].strip()
        *parents, last = row.path.split(".")
        inner = body
        for parent in parents:
            inner = inner.setdefault(parent, {})
        inner[last] = _typed(typed, row.what)
    return body


def holding_from(typed: str) -> date:
    """The day from which what was typed holds. Raises ValueError with words for the page."""
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise ValueError("Choose the day from which it holds.") from None


def _rows(
    schema: Mapping[str, Any], defs: Mapping[str, Any], body: Mapping[str, Any], before: str, told: Mapping[str, Any]
) -> Iterator[Row]:
    for name, field in schema["properties"].items():
        path = f"{before}{name}"
        inner = defs.get(str(field.get("$ref", "")).rsplit("/", 1)[-1])
        if inner is not None and "properties" in inner:
            if not _holds_lists(inner):
                yield from _rows(inner, defs, body.get(name, {}), f"{path}.", told)
        elif name not in GIVEN and field.get("type") != "array":
            yield _row(name, path, field, body.get(name, field.get("default", "")), told)


def _row(name: str, path: str, field: Mapping[str, Any], value: Any, told: Mapping[str, Any]) -> Row:
    words, unit = _label(name, path)
    what = {"number": "number", "integer": "whole"}.get(field.get("type", ""), "words")
    options = tuple(field.get("enum", ()))
    if options:
        what = "choice"
    elif field.get("type") == "boolean":
        what, options = "yes", ("yes", "no")
        value = "yes" if value in {True, "yes"} else "no"
    elif what == "words" and name != "title" and field.get("maxLength", 0) > 200:
        what = "long"
    return Row(
        path=path,
        label=words,
        unit=unit,
        what=what,
        value=_plain(value),
        least=_plain(field.get("minimum", field.get("exclusiveMinimum"))),
        most=_plain(field.get("maximum", field.get("exclusiveMaximum"))),
        options=options,
        words=WORDS.get(path, re.sub(r"\s+", " ", field.get("description", ""))),
        problems=tuple(told.get(path, ())),
    )


def _plain(value: Any) -> Any:
    """A whole number without its ".0", as one types it."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _label(name: str, path: str) -> tuple[str, str]:
    """What a field is called, and its unit."""
    parts = name.split("_")
    unit = UNITS.get(parts[-1], "of 1" if "share" in parts else "")
    if parts[-1] in UNITS:
        parts = parts[:-1]
    words = LABELS.get(path, " ".join(parts))
    return words[:1].upper() + words[1:], unit


def _holds_lists(schema: Mapping[str, Any]) -> bool:
    return any(field.get("type") == "array" for field in schema["properties"].values())


def _typed(text: str, what: str) -> Any:
    if what == "yes" and text in {"yes", "no"}:
        return text == "yes"
    if what == "whole" and re.fullmatch(r"[+-]?\d{1,9}", text):
        return int(text)
    if what in {"number", "whole"} and re.fullmatch(r"[+-]?\d{1,9}([.,]\d{1,9})?", text.replace("\u2212", "-")):
        return float(text.replace(",", ".").replace("\u2212", "-"))
    return text


def _copied(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _copied(one) for key, one in value.items()}
    return [_copied(one) for one in value] if isinstance(value, list | tuple) else value


__all__ = ["Row", "body_of", "holding_from", "rows_of"]
