"""The curve of the bench as SVG: well formed, its marks where its figures say."""

from __future__ import annotations

import json
import re

from defusedxml.ElementTree import fromstring

from scoring.frame.faults import FAULTS, Parameter
from trainer.renders.chart import BOTTOM, HIGH, LEFT, RIGHT, WIDE, along, curve_svg
from trainer.renders.readings import QUANTITIES, Curve


def curve() -> Curve:
    parameter = FAULTS["F1"].parameters[0]
    assert isinstance(parameter, Parameter)
    points = tuple((x, abs(x) * 0.08) for x in (-40.0, -20.0, 0.0, 20.0, 40.0))
    edges = ((0.15, "Either"), (0.4, "Redo"))
    return Curve(parameter, QUANTITIES["doubling_deg"], points, (10.0, 0.8), edges)


def drawn() -> str:
    return str(curve_svg(curve()))


def test_it_is_well_formed_and_names_itself() -> None:
    svg = fromstring(drawn())
    assert svg.attrib["role"] == "img"
    assert svg.attrib["aria-label"].startswith("Doubling at the worst seam over pupil out")
    words = [text.text for text in svg.iter("text")]
    assert {"Either", "Redo", "−40", "40", "0.00°"} <= set(words)


def test_the_line_runs_from_one_end_to_the_other_and_touches_the_floor_at_nought() -> None:
    path = re.search(r'class="line" d="M([^"]+)"', drawn())
    assert path is not None
    spots = [tuple(float(n) for n in spot.split()) for spot in path[1].split("L")]
    assert spots[0][0] == LEFT
    assert spots[-1][0] == WIDE - RIGHT
    assert spots[2] == ((LEFT + WIDE - RIGHT) / 2, HIGH - BOTTOM)
    assert spots[0][1] == spots[-1][1] < spots[1][1]


def test_the_points_that_the_browser_moves_the_mark_along_lie_on_the_line() -> None:
    told = json.loads(along(curve()))
    path = re.search(r'class="line" d="M([^"]+)"', drawn())
    assert path is not None
    line = [[float(n) for n in spot.split()] for spot in path[1].split("L")]
    assert [spot[2:] for spot in told["points"]] == line
    assert [tuple(spot[:2]) for spot in told["points"]] == list(curve().points)
    assert (told["places"], told["unit"]) == (2, "°")
