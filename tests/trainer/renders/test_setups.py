"""A set-up of the bench: from an address and back, refused in words, standing where a tripod may stand."""

from __future__ import annotations

from typing import Any

import pytest

from trainer.renders.setups import NoSuchSetup, rooms_of, setup_of, stand_in, take_of, unpacked

pytestmark = pytest.mark.django_db


def test_an_empty_address_is_a_whole_set_up(stocked: Any) -> None:
    setup = setup_of({})
    assert (setup.floor, setup.kit, setup.fault, setup.values) == ("two-rooms", "heron-three", "N0", {})
    assert take_of(setup).faults == ()


def test_an_address_says_all_of_it(stocked: Any) -> None:
    fields = {
        "floor": "two-rooms",
        "room": "0/den",
        "kit": "heron-three",
        "light": "lamps",
        "fault": "F1",
        "offset_mm": "-12,5",
    }
    setup = setup_of(fields)
    assert setup.values == {"offset_mm": -12.5}
    assert setup_of(setup.fields()) == setup
    assert unpacked(setup.packed()) == setup
    take = take_of(setup)
    assert take.lamps
    assert take.faults[0].number("offset_mm") == -12.5


def test_parameters_that_are_not_said_are_at_their_defaults(stocked: Any) -> None:
    assert setup_of({"fault": "F4"}).values == {"tilt_deg": 2.0, "toward_deg": 30.0}


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"floor": "no-such"}, "no such place"),
        ({"kit": "no-such"}, "no such kit"),
        ({"fault": "F99"}, "no such fault"),
        ({"light": "dusk"}, "no such light"),
        ({"fault": "F1", "offset_mm": "far"}, "is no number"),
        ({"fault": "F1", "offset_mm": "1e9"}, "between"),
        ({"fault": "F1", "offset_mm": "nan"}, "must be a number"),
        ({"fault": "F7", "pattern": "odd"}, "must be one of"),
    ],
)
def test_what_the_bench_has_not_is_refused_in_words(stocked: Any, fields: dict[str, str], words: str) -> None:
    with pytest.raises(NoSuchSetup, match=words):
        setup_of(fields)


@pytest.mark.parametrize("word", ["", "!!", "AAAA", "W10", "eyJmbG9vciI6M30", "A" * 5000])
def test_a_word_that_is_no_set_up_is_refused(stocked: Any, word: str) -> None:
    with pytest.raises(NoSuchSetup):
        unpacked(word)


def test_a_room_of_another_place_falls_back_to_the_first(stocked: Any) -> None:
    assert setup_of({"room": "3/attic"}).room == "0/hall"


def test_the_tripod_stands_in_the_room_where_it_may(stocked: Any, two_rooms: dict[str, Any]) -> None:
    from scoring.floor.stands import strict
    from trainer.renders.places import place_of

    place, _ = place_of("two-rooms", "heron-three")
    assert [room for room, _ in rooms_of(place.plan)] == ["0/hall", "0/den"]
    for room, (x0, x1) in {"0/hall": (0.0, 3.0), "0/den": (3.12, 6.6)}.items():
        station = stand_in(setup_of({"room": room}))
        assert x0 < station.x < x1
        assert all(gap.spare >= 0.0 for gap in strict(place, station))


def test_a_heading_that_another_kit_has_not_is_the_last(stocked: Any) -> None:
    setup = setup_of({"fault": "F5", "heading": "12"})
    assert setup.values["heading"] == 3.0
    assert take_of(setup).kit.headings == 3
