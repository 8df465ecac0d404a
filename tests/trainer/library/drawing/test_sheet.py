"""A level drawn as a sheet: well formed, classes only, true to scale, and told apart by shape."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from shapely import Point, Polygon, union_all

from scoring.drill import Shape
from scoring.floor.plan import Plan, Station
from scoring.floor.read import read_plan
from trainer.library.drawing import draw_plan
from trainer.library.drawing.title_block import TitleBlock
from trainer.library.drawing.walls import opening_quad, wall_region

FLOORS = sorted((Path(__file__).resolve().parents[4] / "scenarios" / "floors").glob("*.json"))
SVG = "{http://www.w3.org/2000/svg}"


def plan_of(name: str) -> Plan:
    return read_plan(next(path for path in FLOORS if path.stem == name).read_bytes())


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


@pytest.mark.parametrize("path", FLOORS, ids=lambda path: path.stem)
def test_every_floor_is_drawn_well_formed_with_classes_only(path: Path) -> None:
    plan = read_plan(path.read_bytes())
    for level in range(len(plan.levels)):
        root = parsed(draw_plan(plan, level))
        used = {name for element in root.iter() for name in element.attrib}
        assert "style" not in used
        assert not [name for name in used if name.startswith("on")]
        names = {element.get("data-room") for element in root.iter() if element.get("data-room")}
        assert names == {space.id for space in plan.levels[level].spaces}


@pytest.mark.parametrize("path", FLOORS, ids=lambda path: path.stem)
def test_walls_leave_rooms_and_openings_clear(path: Path) -> None:
    plan = read_plan(path.read_bytes())
    for index, level in enumerate(plan.levels):
        wall = wall_region(plan, index)
        clear = union_all(
            [Polygon(space.outline) for space in level.spaces] + [opening_quad(o) for o in level.openings]
        )
        assert wall.area > 0
        assert wall.intersection(clear).area < 1e-6


def test_north_of_the_drawing_is_up_and_a_metre_is_a_hundred_paper_units() -> None:
    stations = [Station(level=0, x=1.0, y=2.0), Station(level=0, x=2.0, y=3.0)]
    groups = parsed(draw_plan(plan_of("studio"), 0, stations=stations)).iter(f"{SVG}g")
    spots = {e.get("data-station"): e.get("transform") for e in groups if e.get("data-station")}
    assert spots == {"1": "translate(100 -200)", "2": "translate(200 -300)"}


def test_stations_of_other_levels_are_not_on_the_sheet_and_keep_their_numbers() -> None:
    plan = plan_of("two-storey-dogleg")
    stations = [Station(level=1, x=1.0, y=1.0), Station(level=0, x=1.0, y=1.0)]
    assert re.findall(r'data-station="(\d)"', draw_plan(plan, 0, stations=stations)) == ["2"]
    assert re.findall(r'data-station="(\d)"', draw_plan(plan, 1, stations=stations)) == ["1"]


ROLES = ["reference", "missing", "spare", "stand-allowed", "stand-refused"]


def test_every_role_has_a_shape_of_its_own_in_black_and_white() -> None:
    drawn = set()
    for role in ROLES:
        root = parsed(draw_plan(plan_of("studio"), 0, shapes=[Shape(role, "point", 0, [1.0, 1.0], "3")]))
        group = next(e for e in root.iter(f"{SVG}g") if e.get("data-role") == role)
        drawn.add(tuple((e.get("class"), e.get("d")) for e in group.iter(f"{SVG}path")))
    assert len(drawn) == len(ROLES)


def test_a_link_says_its_length_in_the_readers_units() -> None:
    shape = Shape("link", "line", 0, [[1, 1], [4, 1]], "3.00 m")
    assert "3.00\u00a0m" in draw_plan(plan_of("studio"), 0, shapes=[shape])
    assert "9′\u00a010″" in draw_plan(plan_of("studio"), 0, shapes=[shape], units="ft")


def test_unseen_floor_carries_its_area_unless_it_is_a_sliver() -> None:
    large = Shape("unseen", "area", 0, [[[0, 0], [1, 0], [1, 1.2], [0, 1.2]]])
    sliver = Shape("unseen", "area", 0, [[[2, 0], [2.1, 0], [2.1, 1], [2, 1]]])
    said = [e.text for e in parsed(draw_plan(plan_of("studio"), 0, shapes=[large, sliver])).iter(f"{SVG}text")]
    assert "1.2 m²" in said
    assert "0.1 m²" not in said


def test_a_marks_shapes_stand_apart_under_its_own_name() -> None:
    shape = Shape("unseen", "area", 0, [[[0, 0], [1, 0], [1, 1]]], "0.5 m²")
    root = parsed(draw_plan(plan_of("studio"), 0, groups={"7": [shape]}))
    group = next(e for e in root.iter(f"{SVG}g") if e.get("data-mark"))
    assert group.get("data-mark") == "7"
    assert [e.get("data-role") for e in group.iter() if e.get("data-role")] == ["unseen"]


def test_names_from_a_file_cannot_become_markup() -> None:
    body = json.loads(next(path for path in FLOORS if path.stem == "studio").read_text())
    body["levels"][0]["spaces"][0]["name"] = '<script>alert("x")</script>'
    root = parsed(draw_plan(read_plan(json.dumps(body).encode()), 0))
    assert not list(root.iter(f"{SVG}script"))
    assert '<script>alert("x")</script>' in [e.text for e in root.iter(f"{SVG}text")]


def test_a_standalone_drawing_carries_its_looks_with_no_token_left_open() -> None:
    svg = draw_plan(plan_of("studio"), 0, standalone=True, block=TitleBlock("A drill", "A place", "A level", "r1"))
    looks = next(parsed(svg).iter(f"{SVG}style")).text
    assert looks is not None
    assert "var(" not in looks
    assert "#1d2a33" in looks
    assert "A drill" in svg


def test_a_room_name_stands_inside_its_room() -> None:
    plan = plan_of("two-bedroom-corner-hall")
    for element in parsed(draw_plan(plan, 0)).iter(f"{SVG}g"):
        if (room := element.get("data-room")) is not None:
            x, y = (float(v) for v in re.findall(r"translate\((\S+) (\S+)\)", element.get("transform") or "")[0])
            assert Polygon(plan.space(0, room).outline).contains(Point(x / 100, -y / 100))
