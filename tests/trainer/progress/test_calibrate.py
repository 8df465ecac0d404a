"""Fitting any table of answers from the command line."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests.external.test_item_fits import DIFFICULTIES, LSAT, SLOPES


def table(path: Path) -> Path:
    lines = ["person,one,two,three,four,five"]
    for pattern, count in LSAT.items():
        lines += [f"p{len(lines) + i},{','.join(pattern)}" for i in range(count)]
    path.write_text("\n".join(lines))
    return path


def test_it_prints_the_published_fit_of_a_published_table(tmp_path: Path) -> None:
    out = StringIO()
    call_command("calibrate", responses=table(tmp_path / "t.csv"), json=True, stdout=out)
    body = json.loads(out.getvalue())
    assert [case["slope"] for case in body["cases"]] == pytest.approx(SLOPES, abs=0.01)
    assert [case["difficulty_logit"] for case in body["cases"]] == pytest.approx(DIFFICULTIES, abs=0.01)
    assert body["loglik"] == pytest.approx(-2466.653, abs=0.01)
    assert len(body["people"]) == 1000


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("person,a,b\nx,1,2\n", "line 2, b: '2' is not 1, 0 or nothing"),
        ("person,a,b\nx,1\n", "line 2: 2 fields"),
        ("person\n", "a line of case names"),
        ("person,a,b\nx,1,0\ny,1,1\n", r"cases \[0\]: everybody"),
    ],
)
def test_it_names_what_cannot_be_read(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "t.csv").write_text(text)
    with pytest.raises(CommandError, match=words):
        call_command("calibrate", responses=tmp_path / "t.csv", stdout=StringIO())


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file"):
        call_command("calibrate", responses=tmp_path / "none.csv")
