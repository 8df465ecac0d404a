"""A table of answers from a CSV file: people down, cases across, 1 right, 0 wrong, nothing where not seen."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from io import StringIO

import numpy as np
from numpy.typing import NDArray

ROWS_MAX, COLUMNS_MAX = 200_000, 2_000
PROBLEMS_SHOWN = 10


class TableError(ValueError):
    """The table cannot be read; every line of the message names a place in it."""


@dataclass(frozen=True, slots=True)
class Responses:
    """Names of people and cases, and their answers (people, cases): 0, 1 or nan."""

    people: tuple[str, ...]
    cases: tuple[str, ...]
    answers: NDArray[np.float64]


def read_responses(text: str) -> Responses:
    """Read a table whose first line names the cases and whose first column names the people. Raises TableError."""
    rows = list(csv.reader(StringIO(text)))
    if len(rows) < 2 or len(rows[0]) < 2:
        raise TableError("there must be a line of case names and at least one person")
    if len(rows) > ROWS_MAX or len(rows[0]) > COLUMNS_MAX:
        raise TableError(f"at most {ROWS_MAX} people and {COLUMNS_MAX} cases can be read")
    cases = rows[0][1:]
    values = {"": np.nan, "0": 0.0, "1": 1.0}
    answers = np.full((len(rows) - 1, len(cases)), np.nan)
    problems = []
    for line, row in enumerate(rows[1:], 2):
        if len(row) != len(rows[0]):
            problems.append(f"line {line}: {len(row)} fields, the first line has {len(rows[0])}")
            continue
        for column, field in enumerate(row[1:]):
            value = values.get(field.strip())
            if value is None:
                problems.append(f"line {line}, {cases[column]}: {field[:20]!r} is not 1, 0 or nothing")
            else:
                answers[line - 2, column] = value
    if problems:
        more = [f"and {len(problems) - PROBLEMS_SHOWN} more"] if len(problems) > PROBLEMS_SHOWN else []
        raise TableError("\n".join(problems[:PROBLEMS_SHOWN] + more))
    return Responses(tuple(row[0] for row in rows[1:]), tuple(cases), answers)


__all__ = ["Responses", "TableError", "read_responses"]
