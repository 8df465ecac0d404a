"""A table of answers from a CSV file: people down, cases across, 1 right, 0 wrong, nothing or NA where not seen.

A first line of names and a first column of names may each be missing: a line or column of nothing but answers is one
of answers, and then cases and people are numbered.
"""

from __future__ import annotations

import csv
from collections.abc import Collection
from dataclasses import dataclass
from io import StringIO

import numpy as np
from numpy.typing import NDArray

ROWS_MAX, COLUMNS_MAX = 200_000, 2_000
PROBLEMS_SHOWN = 10
VALUES = {"": np.nan, "NA": np.nan, "0": 0.0, "1": 1.0}


class TableError(ValueError):
    """The table cannot be read; every line of the message names a place in it."""


@dataclass(frozen=True, slots=True)
class Responses:
    """Names of people and cases, and their answers (people, cases): 0, 1 or nan."""

    people: tuple[str, ...]
    cases: tuple[str, ...]
    answers: NDArray[np.float64]

    def without(self, columns: Collection[int]) -> Responses:
        """The same table without some of its cases."""
        left = [column for column in range(len(self.cases)) if column not in columns]
        return Responses(self.people, tuple(self.cases[column] for column in left), self.answers[:, left])


def read_responses(text: str) -> Responses:
    """Read a table. Raises TableError."""
    rows = [[field.strip() for field in row] for row in csv.reader(StringIO(text)) if row]
    named = bool(rows) and not all(field in VALUES for field in rows[0][1:] or rows[0])
    body = rows[1:] if named else rows
    firsts = [row[0] for row in body]
    whose = not all(first in VALUES for first in firsts) or len(set(firsts)) == len(firsts)
    width = max((len(row) for row in rows[:1]), default=0)
    if not body or width < 1 + whose:
        raise TableError("there must be at least one person and one case: people down, cases across")
    if len(body) > ROWS_MAX or width > COLUMNS_MAX:
        raise TableError(f"at most {ROWS_MAX} people and {COLUMNS_MAX} cases can be read")
    cases = rows[0][whose:] if named else [f"case {number}" for number in range(1, width - whose + 1)]
    people = firsts if whose else [f"person {number}" for number in range(1, len(body) + 1)]
    answers = np.full((len(body), len(cases)), np.nan)
    problems = []
    for index, row in enumerate(body):
        line = index + 1 + named
        if len(row) != width:
            problems.append(f"line {line}: {len(row)} fields, the first line has {width}")
            continue
        for column, field in enumerate(row[whose:]):
            if field in VALUES:
                answers[index, column] = VALUES[field]
            else:
                problems.append(f"line {line}, {cases[column]}: {field[:20]!r} is not 1, 0, NA or nothing")
    if problems:
        more = [f"and {len(problems) - PROBLEMS_SHOWN} more"] if len(problems) > PROBLEMS_SHOWN else []
        raise TableError("\n".join(problems[:PROBLEMS_SHOWN] + more))
    return Responses(tuple(people), tuple(cases), answers)


__all__ = ["Responses", "TableError", "read_responses"]
