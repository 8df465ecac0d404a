"""Reading answers at the border: whatever JSON comes in, typed values or an AnswerError come out."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from scoring.drill import AnswerError, Json
from scoring.floor.plan import REACH_M, Plan, Station

STATIONS_MAX = 60
"""More than this nobody shoots in one home; it keeps an answer's size and cost bounded."""
SHEET_M = REACH_M - 10.0
"""No station lies farther out; a little inside the reach of a plan, so that one can look round it."""


def fields(answer: Json, allowed: Collection[str], needed: Collection[str] = ()) -> Mapping[str, Json]:
    """The answer as an object with known fields only."""
    if not isinstance(answer, Mapping):
        raise AnswerError("the answer must be an object")
    for name in answer:
        if name not in allowed:
            raise AnswerError(f"{str(name)[:40]}: this answer has no such part")
    for name in needed:
        if name not in answer:
            raise AnswerError(f"{name}: this part of the answer is missing")
    return answer


def read_stations(
    answer: Mapping[str, Json], plan: Plan, most: int = STATIONS_MAX, least: int = 0
) -> tuple[Station, ...]:
    """The stations of an answer, in order; a missing list is an empty one."""
    items = answer.get("stations", [])
    if not isinstance(items, list):
        raise AnswerError("stations: must be a list")
    if len(items) > most:
        raise AnswerError(f"stations: {len(items)} are too many; at most {most} can be graded")
    if len(items) < least:
        raise AnswerError(f"stations: put down {'a station' if least == 1 else f'{least} stations'} first")
    return tuple(_station(item, index, plan) for index, item in enumerate(items))


def _station(item: Json, index: int, plan: Plan) -> Station:
    where = f"stations[{index}]"
    if not isinstance(item, Mapping):
        raise AnswerError(f"{where}: must have a level, an x and a y")
    for name in item:
        if name not in {"level", "x", "y"}:
            raise AnswerError(f"{where}: a station has no {str(name)[:40]!r}, only level, x and y")
    level = whole(item.get("level"), f"{where}.level", 0, len(plan.levels) - 1)
    return Station(level=level, x=_coordinate(item, "x", where), y=_coordinate(item, "y", where))


def _coordinate(item: Mapping[str, Json], name: str, where: str) -> float:
    value = item.get(name)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise AnswerError(f"{where}.{name}: must be a number of metres")
    if not -SHEET_M <= value <= SHEET_M:
        raise AnswerError(f"{where}.{name}: lies off the sheet")
    return float(value)


def whole(value: Json, where: str, least: int, most: int) -> int:
    """A whole number between two limits."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise AnswerError(f"{where}: must be a whole number")
    if not least <= value <= most:
        raise AnswerError(f"{where}: there is no {str(value)[:12]}; it goes from {least} to {most}")
    return value


def numbers(value: Json, where: str, most: int) -> tuple[int, ...]:
    """A list of different station numbers as people see them (from 1)."""
    if not isinstance(value, list):
        raise AnswerError(f"{where}: must be a list of station numbers")
    if len(value) > most:
        raise AnswerError(f"{where}: names more stations than there are")
    found = [whole(item, f"{where}[{index}]", 1, most) for index, item in enumerate(value)]
    for index, number in enumerate(found):
        if number in found[:index]:
            raise AnswerError(f"{where}[{index}]: station {number} is named twice")
    return tuple(found)


def groups(value: Json, where: str, most: int) -> tuple[tuple[int, ...], ...]:
    """Lists of station numbers, no station in two of them; empty lists are left out."""
    if not isinstance(value, list):
        raise AnswerError(f"{where}: must be a list of lists of station numbers")
    if len(value) > most:
        raise AnswerError(f"{where}: names more islands than there are stations")
    found = [numbers(item, f"{where}[{index}]", most) for index, item in enumerate(value)]
    seen: set[int] = set()
    for index, group in enumerate(found):
        for number in group:
            if number in seen:
                raise AnswerError(f"{where}[{index}]: station {number} is on another island already")
            seen.add(number)
    return tuple(group for group in found if group)


def choice(value: Json, where: str, allowed: Collection[str]) -> str:
    """One of a few words."""
    if not isinstance(value, str) or value not in allowed:
        raise AnswerError(f"{where}: choose one of {', '.join(sorted(allowed))}")
    return value


__all__ = ["STATIONS_MAX", "choice", "fields", "groups", "numbers", "read_stations", "whole"]
