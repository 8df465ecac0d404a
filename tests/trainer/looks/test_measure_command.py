"""`manage.py measure`: the same child process, in words and as JSON."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from tests.trainer.looks import frame_files as files


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("measure", *arguments, stdout=out)
    return out.getvalue()


@pytest.fixture
def frame(tmp_path: Path) -> str:
    path = tmp_path / "frame.jpg"
    path.write_bytes(files.with_marks())
    return str(path)


def test_it_says_each_finding_with_its_limit(frame: str) -> None:
    said = run(frame, "--headings", "4")
    for words in ("JPEG, 1024 x 512 px", "Tilt: ", "Sharpness: ", "keep under", "Metadata: Holds. in order", "GPS"):
        assert words in said


def test_it_prints_every_number_as_json(frame: str) -> None:
    found = json.loads(run(frame, "--json"))
    assert set(found["look"]) == {"tilt", "seams", "sectors", "sharpness", "veil", "clipping", "metadata"}
    assert found["file"]["kind"] == "JPEG"


def test_a_file_that_is_refused_or_missing_is_said_in_a_line(tmp_path: Path) -> None:
    path = tmp_path / "frame.png"
    path.write_bytes(b"no picture")
    with pytest.raises(CommandError, match="no JPEG, PNG or WebP"):
        run(str(path))
    with pytest.raises(CommandError, match="cannot be read"):
        run(str(tmp_path / "nowhere.jpg"))
