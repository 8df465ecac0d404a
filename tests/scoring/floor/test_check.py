"""Whether a drawing can be a place: each kind of fault, named with its place and in plain words."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from scoring.border import read_value
from scoring.floor.check import check_plan
from scoring.floor.plan import Plan, Point
from scoring.floor.turn import moved

STAIR_R311_7_M = {"riser_max": 0.196, "tread_min": 0.254}
"""International Residential Code R311.7 (2018), read second-hand."""


def box(x0: float, y0: float, x1: float, y1: float) -> list[list[float]]:
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def small() -> dict[str, Any]:
    """Two rooms with a door between, a front door and a window; a flight up to a landing and a room there."""
    hall = {"id": "hall", "name": "Hall", "use": "hall", "outline": box(0, 0, 3, 4)}
    den = {"id": "den", "name": "Den", "use": "living", "outline": box(3.12, 0, 7, 4)}
    landing = {"id": "landing", "name": "Landing", "use": "landing", "outline": box(0, 8, 3, 10)}
    loft = {
        "id": "loft", "name": "Loft", "use": "attic", "outline": box(3, 8, 7, 12),
        "slopes": [{"at": [7.0, 10.0], "height_m": 1.2, "fall_deg": 30.0, "toward_deg": 0.0}],
    }  # fmt: skip
    leaf = {"hinge": 0, "into": "den", "open_deg": 90.0}
    openings = [
        {"id": "den-door", "kind": "door", "between": ["hall", "den"], "jambs": [[3.06, 1], [3.06, 1.9]],
         "depth_m": 0.12, "leaf": leaf},
        {"id": "front", "kind": "door", "between": ["hall", "outside"], "jambs": [[1, -0.15], [2, -0.15]],
         "depth_m": 0.3},
        {"id": "pane", "kind": "window", "between": ["outside", "den"], "jambs": [[7.15, 1], [7.15, 3]],
         "depth_m": 0.3, "sill_m": 0.9, "head_m": 2.1},
    ]  # fmt: skip
    things = [
        {"id": "table", "name": "table", "kind": "table", "space": "den", "outline": box(5, 2, 6, 3), "height_m": 0.75},
        {"id": "lamp", "name": "lamp", "kind": "lamp", "space": "den", "outline": box(5.2, 2.2, 5.5, 2.5),
         "base_m": 0.75, "height_m": 1.2},
    ]  # fmt: skip
    flight = {
        "id": "stair", "name": "stair", "risers": 15, "outline": box(1, 4, 2, 8),
        "foot": {"level": 0, "space": "hall", "edge": [[1, 4], [2, 4]]},
        "head": {"level": 1, "space": "landing", "edge": [[1, 8], [2, 8]]},
    }  # fmt: skip
    return {
        "format": "levelhead-floor", "version": 1, "name": "small", "title": "Small", "note": "For a test",
        "north_deg": 90.0, "entrance": "hall", "flights": [flight],
        "levels": [
            {"name": "Below", "elevation_m": 0.0, "ceiling_m": 2.5, "spaces": [hall, den], "openings": openings,
             "things": things, "edges": []},
            {"name": "Above", "elevation_m": 2.8, "ceiling_m": 2.5, "spaces": [landing, loft]},
        ],
    }  # fmt: skip


def problems_of(change: Callable[[dict[str, Any]], None]) -> list[str]:
    body = small()
    change(body)
    return [str(problem) for problem in check_plan(read_value(TypeAdapter(Plan), json.dumps(body).encode()))]


def put(path: str, value: Any) -> Callable[[dict[str, Any]], None]:
    """A change of the small plan: what stands at the end of a dotted path."""

    def change(body: dict[str, Any]) -> None:
        at: Any = body
        *steps, last = (int(step) if step.isdigit() else step for step in path.split("."))
        for step in steps:
            at = at[step]
        at[last] = value

    return change


def test_it_finds_nothing_wrong_with_a_sound_plan() -> None:
    assert problems_of(lambda body: None) == []


SPACE, DOOR, THING = "levels.0.spaces.1", "levels.0.openings.0", "levels.0.things.0"


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("entrance", "moon", "entrance: there is no space 'moon' to come in by"),
        # Outlines.
        (f"{SPACE}.outline", [[3.12, 0], [7, 4], [7, 0], [3.12, 4]],
         "levels[0].spaces[1].outline[0]: room 'Den': its outline crosses itself at (5.06, 2.00)"),
        (f"{SPACE}.outline", [[3.12, 0], [7, 0], [5, 0]],
         "levels[0].spaces[1].outline[0]: room 'Den': its outline crosses itself"),
        (f"{SPACE}.outline", [[3.12, 0], [3.122, 0], [7, 0], [7, 4], [3.12, 4]],
         "levels[0].spaces[1].outline[1]: room 'Den': corners 0 and 1 at (3.12, 0.00) are 2.0 mm apart"),
        (f"{SPACE}.outline", box(2.0, 0, 7, 4),
         "levels[0].spaces[1].outline: room 'Hall' and room 'Den' overlap by 4.000 m²"),
        (f"{SPACE}.outline", box(3.01, 0, 7, 4),
         "room 'Hall' and room 'Den' are 10.0 mm apart: neither a wall nor a shared edge"),
        # Ids.
        (f"{SPACE}.id", "hall", "levels[0].spaces[1].id: the id 'hall' is taken by levels[0].spaces[0]"),
        (f"{SPACE}.id", "outside", "levels[0].spaces[1].id: 'outside' is what lies beyond the drawing"),
        ("levels.0.things.1.id", "table", "levels[0].things[1].id: the id 'table' is taken by levels[0].things[0]"),
        # Ceilings.
        ("levels.1.spaces.1.slopes.0.height_m", 0.2,
         "levels[1].spaces[1].slopes: room 'Loft': its ceiling comes down to 0.20 m at (7.00, 8.00)"),
        ("levels.1.spaces.1.slopes.0.height_m", 9.0,
         "levels[1].spaces[1].slopes[0]: room 'Loft': this slope never comes below the flat ceiling"),
        (SPACE, {"id": "den", "name": "Den", "use": "yard", "outline": box(3.12, 0, 7, 4), "ceiling_m": 2.0},
         "levels[0].spaces[1].ceiling_m: zone 'Den': there is no ceiling outdoors"),
        ("levels.1.elevation_m", 1.0, "levels[1].elevation_m: level 'Above' does not lie above 'Below'"),
        ("levels.1.spaces.1.outline", box(3, 3, 7, 12), ""),
        # Things.
        (f"{THING}.space", "attic", "levels[0].things[0].space: table 'table': there is no space 'attic'"),
        (f"{THING}.outline", box(6.5, 2, 7.5, 3), "table 'table' reaches out of room 'Den' at (7.25, 2.50)"),
        (f"{THING}.height_m", 2.6, "table 'table': its top (2.60 m) is above the ceiling (2.50 m)"),
        (f"{THING}.height_m", 0.8, "levels[0].things[1].outline: table 'table' and lamp 'lamp' stand in each other"),
        ("levels.0.things.1.base_m", 1.3, "lamp 'lamp': its top (1.20 m) is not above its base (1.30 m)"),
        # Openings.
        (f"{DOOR}.between", ["hall", "cave"], "levels[0].openings[0].between[1]: door 'den-door' joins 'cave'"),
        (f"{DOOR}.between", ["hall", "hall"], "must join two different spaces, or one and the outside"),
        (f"{DOOR}.between", ["outside", "outside"], "must join two different spaces, or one and the outside"),
        (f"{DOOR}.between", ["hall", "outside"], "door 'den-door': beyond it lies room 'Den', not the outside"),
        (f"{DOOR}.jambs", [[3.06, 1], [3.06, 1.3]], "its jambs are 0.30 m apart; at least 0.50 m is needed"),
        (f"{DOOR}.jambs", [[3.06, 3.5], [3.06, 4.4]], "door 'den-door' does not join room 'Hall'"),
        (f"{DOOR}.jambs", [[3.10, 1], [3.10, 1.9]], "its side lies up to 0.0400 m from that outline"),
        (f"{DOOR}.jambs", [[3.06, 1], [3.10, 1.9]], "door 'den-door' does not join room 'Den'"),
        (f"{DOOR}.depth_m", 0.5, "door 'den-door': its hole cuts into room 'Den'"),
        (f"{DOOR}.head_m", 2.6, "its head (2.60 m) is above the ceiling of room 'Hall' there (2.50 m)"),
        (f"{DOOR}.sill_m", 0.5, "levels[0].openings[0].sill_m: door 'den-door': nobody walks over a sill of 0.50 m"),
        ("levels.0.openings.2.sill_m", 2.2, "window 'pane': its head (2.10 m) is not above its sill"),
        (f"{DOOR}.leaf.into", "loft", "levels[0].openings[0].leaf.into: door 'den-door': its leaf swings into 'loft'"),
        (f"{DOOR}.kind", "passage", "levels[0].openings[0].leaf: passage 'den-door': only a door has a leaf"),
        (f"{THING}.outline", box(3.5, 0.5, 4, 1.5), "door 'den-door': its open leaf hits the table 'table'"),
        (f"{SPACE}.floor_m", 0.4, "a step of 0.40 m between the floors it joins; draw a flight"),
        # Edges.
        ("levels.0.edges", [{"id": "e", "name": "quay", "kind": "water", "guarded": False, "line": [[50, 0], [60, 0]]}],
         "levels[0].edges[0].line: edge 'quay' lies at no space of this level"),
        # Flights.
        ("flights.0.foot.level", 7, "flights[0].foot.level: flight 'stair': its foot is on level 7, which is not"),
        ("flights.0.head.space", "den", "flights[0].head.space: flight 'stair': its head meets 'den', no space of"),
        ("flights.0.foot.edge", [[1, 3.5], [2, 3.5]],
         "flights[0].foot.edge: flight 'stair': its foot does not lie on the outline of room 'Hall': up to 0.5000 m"),
        ("flights.0.outline", box(1, 4.1, 2, 8), "its foot edge does not lie on the flight's own outline"),
        ("flights.0.outline", box(1, 3, 2, 8), "flight 'stair' runs through the floor of room 'Hall'"),
        ("flights.0.risers", 14, "14 risers of 200 mm; at most 196 mm are climbed"),
        ("flights.0.risers", 17, "treads of 250 mm over 4.00 m; at least 254 mm are needed"),
        ("flights", [], "levels[1].spaces[0]: room 'Landing' cannot be reached from the entrance on foot"),
    ],
)  # fmt: skip
def test_it_names_the_fault_and_its_place(path: str, value: Any, said: str) -> None:
    found = problems_of(put(path, value))
    if said:
        assert any(said in line for line in found), found
    else:
        assert found == []


def test_it_holds_steps_to_the_published_figures() -> None:
    # 2.8 m in 15 risers is 187 mm, under 196; 4 m in 14 treads is 286 mm, over 254.
    assert problems_of(put("flights.0.risers", 15)) == []
    riser, tread = 2.8 / 14, 4.0 / 16
    assert riser > STAIR_R311_7_M["riser_max"]
    assert tread < STAIR_R311_7_M["tread_min"]
    assert problems_of(put("flights.0.risers", 14))
    assert problems_of(put("flights.0.risers", 17))


def test_it_finds_a_room_without_any_way_in() -> None:
    def wall_up(body: dict[str, Any]) -> None:
        del body["levels"][0]["openings"][0]

    assert problems_of(wall_up) == [
        "levels[0].spaces[1]: room 'Den' cannot be reached from the entrance on foot"
    ]  # fmt: skip


def test_it_takes_no_window_for_a_way() -> None:
    def glaze(body: dict[str, Any]) -> None:
        opening = body["levels"][0]["openings"][0]
        opening.update(kind="glass")
        del opening["leaf"]

    assert any("room 'Den' cannot be reached" in line for line in problems_of(glaze))


def test_it_takes_a_shared_edge_for_a_way_but_not_a_high_step() -> None:
    def join(body: dict[str, Any], step: float) -> None:
        level = body["levels"][0]
        del level["openings"][0]
        level["spaces"][1].update(outline=box(3, 0, 7, 4), floor_m=step)

    assert problems_of(lambda body: join(body, 0.0)) == []
    assert problems_of(lambda body: join(body, 0.15)) == []
    assert any("cannot be reached" in line for line in problems_of(lambda body: join(body, 0.7)))


def test_it_finds_a_ceiling_that_reaches_into_the_room_above() -> None:
    def raise_(body: dict[str, Any]) -> None:
        body["levels"][1]["spaces"][1]["outline"] = box(3, 3, 7, 12)
        body["levels"][0]["spaces"][1]["ceiling_m"] = 3.0

    assert any(
        "room 'Den': its ceiling at 3.00 m reaches into room 'Loft' over it, whose floor lies at 2.80 m" in line
        for line in problems_of(raise_)
    )


def test_it_finds_openings_and_flights_that_run_through_each_other() -> None:
    def double(body: dict[str, Any]) -> None:
        window = dict(body["levels"][0]["openings"][2], id="second", jambs=[[7.15, 2.5], [7.15, 3.5]])
        body["levels"][0]["openings"].append(window)
        body["flights"].append(dict(body["flights"][0], id="twin", name="twin"))

    found = problems_of(double)
    assert "levels[0].openings[3].jambs: window 'second' and window 'pane' run through each other" in found
    assert "flights[1].outline: flights 'stair' and 'twin' overlap" in found


def test_it_lets_one_window_stand_over_another() -> None:
    def stack(body: dict[str, Any]) -> None:
        window = dict(body["levels"][0]["openings"][2], id="upper", sill_m=2.2, head_m=2.4)
        body["levels"][0]["openings"].append(window)

    assert problems_of(stack) == []


@pytest.mark.parametrize("name", ["studio", "great-house", "two-storey-dogleg"])
def test_it_finds_the_same_when_the_drawing_is_turned(name: str) -> None:
    file = Path(__file__).resolve().parents[3] / "scenarios" / "floors" / f"{name}.json"
    plan = read_value(TypeAdapter(Plan), file.read_bytes())
    for degrees in (30.0, 171.3):
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

        def turn(point: Point, c: float = c, s: float = s) -> Point:
            return c * point[0] - s * point[1], s * point[0] + c * point[1]

        def swing(angle_deg: float, by: float = degrees) -> float:
            return (angle_deg + by) % 360.0

        assert check_plan(moved(plan, turn, swing)) == []
