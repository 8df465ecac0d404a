"""Takes and faults: read and written without loss, refused with words."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from scoring.border import FileProblems
from scoring.frame.faults import FAULTS, Choice, Parameter
from scoring.frame.take import Fault, read_take, take_json
from tests.scoring.frame.spins import take, wrong


def test_the_catalogue_has_nineteen_faults_and_two_that_are_none() -> None:
    assert list(FAULTS) == ["N0", "N1", *(f"F{k}" for k in range(1, 20))]


@pytest.mark.parametrize("code", list(FAULTS))
def test_every_fault_stands_with_its_defaults(code: Any) -> None:
    form = FAULTS[code]
    fault = Fault(code)
    assert set(fault.values) == {parameter.name for parameter in form.parameters}
    for parameter in form.parameters:
        if isinstance(parameter, Parameter):
            assert parameter.low <= parameter.high
            assert parameter.refused(parameter.high) is None
            assert parameter.refused(parameter.high * 1.01 + 1.0) is not None
        else:
            assert isinstance(parameter, Choice)
            assert parameter.refused("no such word") is not None


def test_a_take_is_read_back_as_it_was_written() -> None:
    given = take(wrong("F5", heading=3.0, shift_mm=17.5), wrong("F10"), seed=99, facing_deg=12.5, sky="overcast")
    assert read_take(take_json(given)) == given


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ({"code": "F77"}, "must be"),
        ({"code": "F1", "values": {"offset": 3.0}}, "has no parameter 'offset'; it has: offset_mm"),
        ({"code": "F1", "values": {"offset_mm": 41.0}}, "offset_mm must lie between -40 and 40 mm"),
        ({"code": "F4", "values": {"tilt_deg": -1.0}}, "tilt_deg must lie between 0 and 6 deg"),
        ({"code": "F8", "values": {"missing": 1.5}}, "must be a whole number"),
        ({"code": "F8", "values": {"missing": 4.0}}, "missing is at most 3 with 4 headings"),
        ({"code": "F8", "values": {"fill": "green"}}, "fill must be one of: black, repeated, squeezed"),
        ({"code": "F13", "values": {"blur_deg": "much"}}, "blur_deg must be a number"),
    ],
)
def test_it_refuses_with_words(fault: dict[str, Any], words: str) -> None:
    value = take_json(take())
    value["faults"] = [{"values": {}, **fault}]
    with pytest.raises(FileProblems, match=words):
        read_take(value)


def test_it_refuses_the_same_fault_twice_and_more_than_three() -> None:
    with pytest.raises(ValidationError, match="stands twice"):
        take(wrong("F1"), wrong("F1"))
    with pytest.raises(ValidationError, match="at most 3"):
        take(wrong("F1"), wrong("F2"), wrong("F3"), wrong("F4"))


@pytest.mark.parametrize("value", [None, [], {"plan": 1}, {"x": float("nan")}, {"seed": "1" * 100}])
def test_whatever_it_is_given_only_problems_come_out(value: Any) -> None:
    with pytest.raises(FileProblems):
        read_take(value)
