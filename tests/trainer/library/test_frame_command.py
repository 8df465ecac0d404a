"""`manage.py frame`: a file for every fault, and clear words for what it cannot do."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from PIL import Image

FLOOR = """{"format": "levelhead-floor", "version": 1, "name": "closet", "title": "One closet", "note": "For a test.",
 "north_deg": 90.0, "entrance": "closet", "levels": [{"name": "Ground", "elevation_m": 0.0, "ceiling_m": 2.4,
 "spaces": [{"id": "closet", "name": "Closet", "use": "closet", "outline": [[0, 0], [2, 0], [2, 2], [0, 2]]}]}]}"""


@pytest.fixture
def floor(tmp_path: Path) -> str:
    path = tmp_path / "closet.json"
    path.write_text(FLOOR)
    return str(path)


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("frame", *arguments, stdout=out)
    return out.getvalue()


def test_it_writes_a_frame_and_its_headings(floor: str, tmp_path: Path) -> None:
    out = tmp_path / "frame.jpg"
    said = run(
        "--floor", floor, "--station", "1,1", "--kit", "plover-four", "--fault", "F1:offset_mm=12", "--size", "256",
        "--out", str(out), "--headings", str(tmp_path / "raw"),
    )  # fmt: skip
    assert "256 x 128 pixels, lens in front of or behind the axis" in said
    with Image.open(out) as image:
        assert image.size == (256, 128)
    assert sorted(path.name for path in (tmp_path / "raw").iterdir()) == [f"heading-{k}.jpg" for k in (1, 2, 3, 4)]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--station", "1"), "write X,Y or X,Y,LEVEL"),
        (("--station", "9,9"), "there is no floor to stand on"),
        (("--station", "1,1,3"), "the station is on none of them"),
        (("--fault", "F99"), "no fault is called 'F99'"),
        (("--fault", "F1:mm=3"), "F1 has no parameter 'mm'; it has: offset_mm"),
        (("--fault", "F1:offset_mm=400"), "offset_mm must lie between -40 and 40 mm"),
        (("--fault", "F1:offset_mm"), "write NAME=VALUE"),
        (("--fault", "F5:heading=9"), "heading is at most 4 with 4 headings"),
        (("--when", "noon"), "is no instant"),
        (("--size", "100"), "in steps of 32"),
        (("--out", "frame.gif"), "written as .jpg or .png"),
        (("--kit", "no-such-kit"), "no such file"),
    ],
)
def test_it_says_what_is_wrong(floor: str, tmp_path: Path, arguments: tuple[str, str], words: str) -> None:
    given = {"--floor": floor, "--station": "1,1", "--kit": "plover-four", "--size": "128"}
    given |= {"--out": str(tmp_path / "frame.jpg"), arguments[0]: arguments[1]}
    with pytest.raises(CommandError, match=words):
        run(*(part for pair in given.items() for part in pair))
