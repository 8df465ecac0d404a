"""Fitting any table of answers from the command line."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.external.test_item_fits import DIFFICULTIES, LSAT, SLOPES, integrated_eap


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


def test_it_scores_everybody_as_an_independent_integration_does(tmp_path: Path) -> None:
    lines = table(tmp_path / "t.csv").read_text().splitlines()
    found = fitted(tmp_path / "a.csv", [*lines, "half,1,0,NA,,1", "none,NA,NA,,,"])
    patterns = ["".join(line.split(",")[1:]) for line in lines[1:]]
    assert len(found["people"]) == len(patterns) + 2
    for person, pattern in zip(found["people"], [*patterns, "10--1", "-----"], strict=True):
        printed = person["ability_logit"], person["ability_sd"]
        assert printed == pytest.approx(integrated_eap(pattern), abs=0.01), person["name"]
    assert found["people"][-1] == {
        "name": "none", "ability_logit": pytest.approx(0.0, abs=1e-3), "ability_sd": pytest.approx(1.0, abs=1e-3)
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("person,a,b\nx,1,2\n", "line 2, b: '2' is not 1, 0, NA or nothing"),
        ("person,a,b\nx,1\n", "line 2: 2 fields"),
        ("person\n", "at least one person and one case"),
        ("", "at least one person and one case"),
        ("person,a,b\nx,1,0\ny,1,0\n", "everybody or nobody got each of the cases right"),
    ],
)
def test_it_names_what_cannot_be_read(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "t.csv").write_text(text)
    with pytest.raises(CommandError, match=words):
        call_command("calibrate", responses=tmp_path / "t.csv", stdout=StringIO())


def fitted(path: Path, lines: list[str]) -> dict[str, Any]:
    path.write_text("\n".join(lines))
    out = StringIO()
    call_command("calibrate", responses=path, json=True, stdout=out)
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


def test_names_may_be_missing_and_what_nobody_saw_may_be_nothing_or_na(tmp_path: Path) -> None:
    named = table(tmp_path / "t.csv").read_text().splitlines()
    bare = [line.split(",", 1)[1] for line in named]
    whole = fitted(tmp_path / "a.csv", named)
    for lines in (bare, bare[1:], named[1:]):
        found = fitted(tmp_path / "b.csv", lines)
        assert [case["slope"] for case in found["cases"]] == [case["slope"] for case in whole["cases"]]
        assert len(found["people"]) == 1000
    assert [case["name"] for case in fitted(tmp_path / "c.csv", bare[1:])["cases"]][:2] == ["case 1", "case 2"]
    holes = [f"{line},{'NA' if row % 2 else ''}" if row else f"{line},six" for row, line in enumerate(named)]
    assert fitted(tmp_path / "d.csv", holes)["left_out"] == ["six"]


def test_a_case_that_all_got_right_is_named_and_the_rest_is_fitted(tmp_path: Path) -> None:
    named = table(tmp_path / "t.csv").read_text().splitlines()
    found = fitted(tmp_path / "e.csv", [f"{line},{1 if row else 'sure'}" for row, line in enumerate(named)])
    assert found["left_out"] == ["sure"]
    assert [case["slope"] for case in found["cases"]] == pytest.approx(SLOPES, abs=0.01)


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file"):
        call_command("calibrate", responses=tmp_path / "none.csv")
