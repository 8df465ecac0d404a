"""Kits that firms enter: what a lens may be."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from scoring.border import FileProblems
from scoring.floor.read import read_kit

KIT = Path(__file__).resolve().parents[3] / "scenarios" / "kits" / "plover-four.json"


def with_lens(**values: Any) -> bytes:
    body = json.loads(KIT.read_bytes())
    return json.dumps({**body, "lens": {**body["lens"], **values}}).encode()


def test_it_takes_an_orthographic_lens_of_a_half_sphere() -> None:
    assert read_kit(with_lens(projection="orthographic", field_deg=180.0)).lens.projection == "orthographic"


def test_it_refuses_an_orthographic_lens_that_would_see_behind_itself() -> None:
    with pytest.raises(FileProblems, match="at most 180 with an orthographic lens") as told:
        read_kit(with_lens(projection="orthographic", field_deg=190.0))
    assert [problem.where for problem in told.value.problems] == ["lens.field_deg"]
    assert read_kit(with_lens(projection="stereographic", field_deg=190.0)).lens.field_deg == 190.0
