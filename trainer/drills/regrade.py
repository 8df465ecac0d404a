"""Regrade: compute stored grades again and compare them, number by number and word by word."""

from __future__ import annotations

import math
from collections.abc import Iterator
from uuid import UUID

from scoring.drill import AnswerError, Json
from trainer.drills.ledger import grade_json, judge
from trainer.drills.models import Grade
from trainer.library.shelf import standard_at

TOLERANCE = 1e-6
"""Two numbers that differ by more than this, absolutely and relatively, are different."""


CHUNK = 100
"""So many grades are read at once. Nothing is left half read between them: the embedded database keeps nobody's answer
while somebody reads."""


def differences() -> Iterator[tuple[UUID, list[str]]]:
    """For every grade of the ledger in the order of time: its attempt, and each place where it differs now."""
    keys = list(Grade.objects.order_by("made_at", "pk").values_list("pk", flat=True))
    for start in range(0, len(keys), CHUNK):
        some = keys[start : start + CHUNK]
        grades = Grade.objects.select_related("answer__attempt").in_bulk(some)
        yield from (_difference(grades[key]) for key in some if key in grades)


def _difference(stored: Grade) -> tuple[UUID, list[str]]:
    attempt = stored.answer.attempt
    try:
        now = grade_json(judge(attempt, stored.answer.body, standard_at(attempt.standard_address)))
    except AnswerError as error:
        return attempt.pk, [f"answer: cannot be read any more: {error}"]
    return attempt.pk, list(compare(stored.body, now, ""))


def compare(stored: Json, now: Json, where: str) -> Iterator[str]:
    """Each place where two JSON values differ: lists by index, objects by name, numbers beyond `TOLERANCE`."""
    if isinstance(stored, dict) and isinstance(now, dict):
        for name in sorted(stored.keys() | now.keys()):
            if name not in stored and now[name] in ([], ()):
                continue  # a field that grades did not have then, and that this one has no use for
            if name not in stored or name not in now:
                yield f"{where}.{name}: only {'now' if name in now else 'stored'}"
            else:
                yield from compare(stored[name], now[name], f"{where}.{name}")
    elif isinstance(stored, list | tuple) and isinstance(now, list | tuple):
        if len(stored) != len(now):
            yield f"{where}: {len(stored)} stored, {len(now)} now"
            return
        for index, (old, new) in enumerate(zip(stored, now, strict=True)):
            yield from compare(old, new, f"{where}[{index}]")
    elif _is_number(stored) and _is_number(now):
        if not math.isclose(stored, now, rel_tol=TOLERANCE, abs_tol=TOLERANCE):
            yield f"{where}: {stored!r} stored, {now!r} now"
    elif stored != now or isinstance(stored, bool) != isinstance(now, bool):
        yield f"{where}: {stored!r} stored, {now!r} now"


def _is_number(value: Json) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


__all__ = ["TOLERANCE", "compare", "differences"]
