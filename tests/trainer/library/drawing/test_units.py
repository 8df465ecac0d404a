"""Lengths and areas in the reader's units."""

from __future__ import annotations

import pytest

from trainer.library.drawing.units import area_words, in_units, length_words, read_length


@pytest.mark.parametrize(
    ("metres", "units", "words"),
    [(2.35, "m", "2.35 m"), (2.35, "ft", "7′ 9″"), (0.1, "ft", "4″"), (-0.3048, "ft", "−1′ 0″"), (0.0, "ft", "0″")],
)
def test_it_writes_a_length(metres: float, units: str, words: str) -> None:
    assert length_words(metres, units) == words


def test_it_writes_an_area() -> None:
    assert area_words(12.44) == "12.4 m²"
    # 1 m² is 10.7639 ft², by the international foot of 0.3048 m.
    assert area_words(10.0, "ft") == "108 ft²"


@pytest.mark.parametrize(
    ("text", "units", "metres"),
    [
        ("2.5", "m", 2.5), ("2,5", "m", 2.5), ("2.5 m", "ft", 2.5), ("-1", "m", -1.0), ("−1,25", "m", -1.25),
        ("10", "ft", 3.048), ("7' 9\"", "ft", 2.3622), ("7′ 9″", "m", 2.3622), ("7 ft 9 in", "ft", 2.3622),
        ("−7′ 9″", "ft", -2.3622), ("9\"", "ft", 0.2286),
    ],
)  # fmt: skip
def test_it_reads_what_people_type(text: str, units: str, metres: float) -> None:
    assert read_length(text, units) == pytest.approx(metres, abs=1e-12)


@pytest.mark.parametrize("text", ["", "two", "1e999", "nan", "inf", "1.2.3", "--1", "9" * 40, "5 km"])
def test_it_refuses_what_is_no_length_and_says_what_to_write(text: str) -> None:
    with pytest.raises(ValueError, match="is not a length; write"):
        read_length(text)


@pytest.mark.parametrize("metres", [0.0, 0.2286, 1.7526, -2.3622])
def test_it_reads_back_whole_inches_that_it_wrote(metres: float) -> None:
    assert read_length(length_words(metres, "ft"), "ft") == pytest.approx(metres, abs=1e-9)


def test_words_written_in_metres_turn_whole() -> None:
    said = "1.2 m² of the hall is unseen; the link is 8.04 m long, 83 % at (x 3.0, y -1.5)."
    assert (
        in_units(said, "m") == "1.2\u00a0m² of the hall is unseen; the link is 8.04\u00a0m long, "
        "83\u00a0% at (3.0\u00a0m across, -1.5\u00a0m up the plan)."
    )
    assert (
        in_units(said, "ft") == "13\u00a0ft² of the hall is unseen; the link is 26′\u00a05″ long, "
        "83\u00a0% at (9′\u00a010″ across, −4′\u00a011″ up the plan)."
    )
