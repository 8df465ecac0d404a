"""Findings as lines and brackets over the frame, in degrees from its left top corner."""

from __future__ import annotations

import re
from typing import Any

from trainer.looks.drawing import groups


def drawn(role: str, form: str, *at_deg: tuple[float, float]) -> str:
    look: dict[str, Any] = {
        "tilt": {"traces": [{"role": role, "form": form, "at_deg": at_deg}]},
        "veil": {"why": "flat"},
    }
    made = groups(look, ["veil", "tilt"])
    assert [(group.key, group.number) for group in made] == [("tilt", 2)], "what draws nothing has no group"
    return str(made[0].svg)


def corners(svg: str) -> set[tuple[float, float]]:
    """Corner points of the brackets: the middle one of each three."""
    path = re.search(r'class="clipped" d="([^"]+)"', svg)
    assert path
    points = [tuple(map(float, point.split(","))) for point in re.findall(r"[ML]([-\d.,]+)", path[1])]
    return {(point[0], point[1]) for point in points[1::3]}


def test_a_line_goes_through_its_directions() -> None:
    assert 'd="M0.00,90.00 L180.00,80.00 L360.00,90.00"' in drawn(
        "horizon", "line", (-180.0, 0.0), (0.0, 10.0), (180.0, 0.0)
    )


def test_a_box_has_brackets_at_its_four_corners_and_its_number() -> None:
    svg = drawn("clipped", "box", (-20.0, -10.0), (20.0, 30.0))
    assert corners(svg) == {(160.0, 60.0), (200.0, 60.0), (160.0, 100.0), (200.0, 100.0)}
    assert svg.count(">2</text>") == 1


def test_a_box_over_the_edge_of_the_frame_is_drawn_at_both_ends() -> None:
    svg = drawn("clipped", "box", (170.0, -10.0), (190.0, 10.0))
    assert svg.count('class="clipped" d=') == 2
    assert "M-10.00" not in svg.split("<text")[0]
    assert "350.00,80.00" in svg
    assert "10.00,80.00" in svg


def test_ink_lies_on_paper_so_that_it_reads_on_any_picture() -> None:
    svg = drawn("level", "line", (-180.0, 0.0), (180.0, 0.0))
    assert svg.index('class="under"') < svg.index('class="level"')
