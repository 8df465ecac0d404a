"""An answer from the fields of a form, for people without scripts: the same JSON that the scripts send."""

from __future__ import annotations

import re
from typing import Any

from django.http import QueryDict

from scoring.drill import AnswerError
from trainer.drills.picture import Case
from trainer.library.drawing.units import read_length

ROW = re.compile(r"x-(\d{1,2})")


def answer_of(case: Case, fields: QueryDict, units: str) -> dict[str, Any]:
    """The answer's JSON. Raises AnswerError, naming the field, for what cannot be read as a number."""
    given = range(1, len(case.given) + 1)
    kind = case.kind
    if kind == "join":
        islands: dict[str, list[int]] = {}
        for number in given:
            if letter := fields.get(f"island-{number}", ""):
                islands.setdefault(letter, []).append(number)
        return {"islands": list(islands.values()), "stations": stations_of(fields, units)}
    if kind == "thin":
        return {"remove": [_whole(value) for value in fields.getlist("remove")]}
    if kind == "stand" and not case.asks_stations:
        allowed = [number for number in given if fields.get(f"stand-{number}") == "allowed"]
        refused = [number for number in given if fields.get(f"stand-{number}") == "refused"]
        why = {str(n): reason for n in refused if (reason := fields.get(f"why-{n}", ""))}
        return {"allowed": allowed, "why": why}
    if kind == "threshold":
        return {"from": fields.get("from", ""), "stations": stations_of(fields, units)}
    return {"stations": stations_of(fields, units)}


def stations_of(fields: QueryDict, units: str) -> list[dict[str, Any]]:
    """The filled rows of the coordinates list, in order; a row with one empty field is named."""
    rows = sorted(int(match[1]) for name in fields if (match := ROW.fullmatch(name)))
    out = []
    for row in rows:
        x, y = fields.get(f"x-{row}", "").strip(), fields.get(f"y-{row}", "").strip()
        if not x and not y:
            continue
        if not x or not y:
            raise AnswerError(f"Row {row} of the list has one figure only: fill in both, or neither.")
        try:
            at = {"x": read_length(x, units), "y": read_length(y, units)}
        except ValueError as error:
            raise AnswerError(f"Row {row} of the list: {error}") from None
        out.append({"level": _whole(fields.get(f"level-{row}", "0")), **at})
    return out


def _whole(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise AnswerError(f"{text[:20]!r} is not a number of the list.") from None


__all__ = ["answer_of", "stations_of"]
