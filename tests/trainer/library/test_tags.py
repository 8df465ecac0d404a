"""What a mark's number is held against is said with the side on which it holds."""

from __future__ import annotations

from typing import Any

import pytest

from trainer.library.templatetags.sheet import bound, measure


def mark(criterion: str, value: float | None, limit: float | None, unit: str = "", **more: Any) -> dict[str, Any]:
    return {"criterion": criterion, "title": "", "value": value, "limit": limit, "unit": unit, "credit": 0.5, **more}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (mark("floor", 71.0, 80.0, "%"), "at least 80\u00a0%"),
        (mark("clearance", 0.4, 0.6, "m"), "at least 0.60\u00a0m"),
        (mark("count", 6.0, 5.0), "at most 5"),
        (mark("link", 2.0, 1.0), "at most 1"),
        (mark("spot", 0.7, 0.4, "m", title="Spot at the door"), "at most 0.40\u00a0m"),
        (mark("spot", 0.3, 0.5, "m", title="Spot inside"), "at least 0.50\u00a0m"),
        (mark("stand", 3.0, 7.0), "of 7"),
        (mark("keep", 2.0, 1.0), "at most 1"),
        (mark("tiny", 0.5, 0.6, "m"), "the line is at 0.60\u00a0m"),
        (mark("another", 0.5, 0.6, "m"), "limit 0.60\u00a0m"),
        (mark("spot", 0.1, 0.4, "m", title="Spot at the door"), ""),
        (mark("floor", None, 80.0, "%"), ""),
    ],
)
def test_it_names_the_side_and_nothing_that_would_mislead(given: dict[str, Any], words: str) -> None:
    assert bound(given) == words


def test_a_number_below_nothing_has_a_minus_and_a_unit_stays_with_its_number() -> None:
    assert measure(-0.06, "m") == "\u22120.06\u00a0m"
    assert measure(-63.9, "°") == "\u221263.9°"
    assert measure(2.0, "EV") == "2\u00a0EV"
