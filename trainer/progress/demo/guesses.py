"""Answers to a case such as people give: right ones, near ones and wrong ones; what they are worth the engine says."""

from __future__ import annotations

from itertools import product
from random import Random
from typing import Any

from scoring.drill import Task

MOST = 12
"""Answers of one case that are graded."""
Body = dict[str, Any]


def guesses(task: Task, rng: Random) -> list[Body]:
    """Some answers to a case that can be read; the key's own is among them where the key has one."""
    asks, key = task.public.get("asks", {}), task.key
    if "choices" in asks:
        return _chosen(asks["choices"], rng)
    made = {
        "place": _places, "join": _joins, "thin": _thins, "stand": _stands, "threshold": _thresholds, "cue": _cues,
    }[task.kind](asks, key, rng)  # fmt: skip
    return made[:MOST]


def _chosen(choices: list[dict[str, Any]], rng: Random) -> list[Body]:
    """Every way to choose where there are few; some of them where there are many."""
    names = [one["name"] for one in choices]
    ways = list(product(*([value for value, _ in one["options"]] for one in choices)))
    if len(ways) > 60:
        ways = rng.sample(ways, 60)
    return [dict(zip(names, way, strict=True)) for way in ways]


def _spots(reference: dict[str, Any]) -> list[Body]:
    return [{"level": level, "x": x, "y": y} for level, x, y in reference["stations"]]


def _places(asks: Any, key: Any, rng: Random) -> list[Body]:
    whole = _spots(key["reference"])
    fewer = [[one for one in whole if one is not left] for left in whole]
    rng.shuffle(fewer)
    half = rng.sample(whole, max(1, len(whole) // 2))
    shifted = [{**one, "x": round(one["x"] + rng.uniform(-0.7, 0.7), 2)} for one in whole]
    more = [*whole, {**whole[0], "y": round(whole[0]["y"] + 0.5, 2)}]
    return [{"stations": one} for one in (whole, more, shifted, half, whole[:1], *fewer[:5])]


def _joins(asks: Any, key: Any, rng: Random) -> list[Body]:
    islands, whole = key["islands"], _spots(key["reference"])
    everyone = sorted(number for island in islands for number in island)
    merged = [sorted([*islands[0], *islands[1]]), *islands[2:]] if len(islands) > 1 else islands
    shifted = [{**one, "x": round(one["x"] + rng.uniform(-1.0, 1.0), 2)} for one in whole]
    said: list[list[list[int]]] = [islands, merged, [everyone]]
    placed: list[list[Body]] = [whole, [], shifted]
    return [{"islands": one, "stations": spots} for one in said for spots in placed]


def _thins(asks: Any, key: Any, rng: Random) -> list[Body]:
    spare, count = list(key["spare"]), int(asks["stations"])
    others = [number for number in range(1, count + 1) if number not in spare]
    ways = [spare, spare[:-1], [], [*spare, rng.choice(others)], rng.sample(others, min(len(spare), len(others)))]
    ways += [[number] for number in rng.sample(range(1, count + 1), min(3, count))]
    return [{"remove": sorted(set(way))} for way in ways]


def _stands(asks: Any, key: Any, rng: Random) -> list[Body]:
    if key["mode"] == "best":
        level, x, y = key["best"]
        steps = ((0.0, 0.0), (0.25, 0.0), (-0.5, 0.2), (0.8, -0.6), (1.4, 0.0), (0.0, -1.5))
        return [{"stations": [{"level": level, "x": round(x + dx, 2), "y": round(y + dy, 2)}]} for dx, dy in steps]
    allowed, faults = set(key["allowed"]), dict(key["faults"])
    reasons = list(asks["reasons"])
    made = [{"allowed": sorted(allowed), "why": faults}, {"allowed": sorted(allowed), "why": {}}]
    for number in range(1, int(asks["stands"]) + 1):
        said = allowed ^ {number}
        why = {text: fault for text, fault in faults.items() if int(text) not in said}
        made.append({"allowed": sorted(said), "why": why})
        if str(number) in faults:
            wrong = {**faults, str(number): rng.choice([one for one in reasons if one != faults[str(number)]])}
            made.append({"allowed": sorted(allowed), "why": wrong})
    near = made[2:]
    rng.shuffle(near)
    return [*made[:2], {"allowed": [], "why": {}}, *near]


def _thresholds(asks: Any, key: Any, rng: Random) -> list[Body]:
    level, x, y = key["best"]
    steps = ((0.0, 0.0), (0.2, 0.1), (0.7, 0.0), (0.0, 1.2))
    other = "door" if key["right"] == "inside" else "inside"
    return [
        {"from": said, "stations": [{"level": level, "x": round(x + dx, 2), "y": round(y + dy, 2)}]}
        for said in (key["right"], other)
        for dx, dy in steps
    ]


def _cues(asks: Any, key: Any, rng: Random) -> list[Body]:
    """Nothing marked, or a spot somewhere; where a cue shows is known from the grade of the first."""
    made: list[Body] = [{"spots": []}]
    made += [
        {"spots": [{"azimuth_deg": rng.uniform(-179.0, 179.0), "elevation_deg": rng.uniform(-30.0, 30.0)}]}
        for _ in range(4)
    ]
    return made


__all__ = ["guesses"]
