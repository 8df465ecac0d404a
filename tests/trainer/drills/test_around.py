"""From plan to frame: after the grade one looks round from any station, one's own and the reference's."""

from __future__ import annotations

import math
import uuid
from pathlib import Path
from typing import Any

import pytest
import shapely
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from scoring.floor.shapes import storeys
from trainer.drills.answer import answer
from trainer.drills.looking import name_outside
from trainer.drills.picture import Case
from trainer.drills.stands import Stand, others, stands_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def cabinet_of_its_own(settings: Any, tmp_path: Path) -> None:
    settings.VAR = tmp_path


def grade(issued: Any, body: dict[str, Any]) -> Any:
    """The attempt, answered with that."""
    from trainer.drills.models import Attempt

    now = timezone.now()
    answer(issued, client_key=uuid.uuid4(), body=body, sureness=2, answered_at=now, now=now)
    return Attempt.objects.select_related("answer__grade").get(pk=issued.pk)


@pytest.fixture
def graded(issued: Any, good_answer: dict[str, Any]) -> Any:
    """The insider's attempt, answered with its reference."""
    return grade(issued, good_answer)


def test_before_the_grade_there_is_nowhere_to_look_from(issued: Any, client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert stands_of(issued) == []
    assert client.get(reverse("look_round", args=[issued.pk])).status_code == 404


def test_after_it_there_is_a_page_for_every_station(graded: Any, client: Client, three: Any) -> None:
    client.force_login(three.insider)
    stands = stands_of(graded)
    count = len(graded.key["reference"]["stations"])
    assert [one.name for one in stands] == [
        *(f"station-{n}" for n in range(1, count + 1)),
        *(f"reference-{n}" for n in range(1, count + 1)),
    ]
    assert [(one.level, one.x, one.y) for one in stands[count:]] == [
        tuple(spot) for spot in graded.key["reference"]["stations"]
    ]
    first = client.get(reverse("look_round", args=[graded.pk])).content.decode()
    assert "From station 1" in first
    for stand in stands:
        page = client.get(reverse("look_round_from", args=[graded.pk, stand.name]))
        assert page.status_code == 200
        assert name_outside(graded, stand.name) in page.content.decode()
    assert client.get(reverse("look_round_from", args=[graded.pk, "station-99"])).status_code == 404
    assert "Look round from the stations" in client.get(reverse("graded", args=[graded.pk])).content.decode()


def test_the_trainer_of_the_team_looks_from_there_too(graded: Any, client: Client, three: Any) -> None:
    client.force_login(three.trainer)
    assert client.get(reverse("look_round", args=[graded.pk])).status_code == 200


@pytest.mark.parametrize("who", ["mate", "outsider"])
def test_nobody_else_looks_from_there(graded: Any, client: Client, three: Any, who: str) -> None:
    client.force_login(getattr(three, who))
    assert client.get(reverse("look_round", args=[graded.pk])).status_code == 404
    names = {"attempt_id": graded.pk, "token": name_outside(graded, "station-1"), "part": "1024"}
    assert client.get(reverse("picture", kwargs=names)).status_code == 404


def test_its_frame_is_a_clean_one_from_that_spot(graded: Any) -> None:
    from scoring.frame.take import read_take
    from trainer.drills.looking import take_for

    for stand in stands_of(graded):
        found = take_for(graded, name_outside(graded, stand.name), graded=True)
        assert found is not None
        name, take = found
        value = read_take(take)
        assert (name, value.faults) == ("frame", ())
        assert (value.station.level, value.station.x, value.station.y) == (stand.level, stand.x, stand.y)
        assert value.kit.name == graded.kit


def test_a_station_in_a_wall_says_that_no_tripod_stands_there(
    issued: Any, good_answer: dict[str, Any], client: Client, three: Any
) -> None:
    storey = storeys(Case.of(issued).plan)[0]
    floor = shapely.union_all([one.polygon for one in (*storey.rooms, *storey.holes)])
    wall = floor.buffer(0.1).difference(floor).representative_point()
    x, y = round(wall.x, 2), round(wall.y, 2)
    graded = grade(issued, {"stations": [{"level": 0, "x": x, "y": y}, *good_answer["stations"]]})
    client.force_login(three.insider)
    names = {"attempt_id": graded.pk, "token": name_outside(graded, "station-1"), "part": "1024"}
    assert client.get(reverse("picture", kwargs=names)).status_code == 404, "there is no picture to wait for"
    page = client.get(reverse("look_round_from", args=[graded.pk, "station-1"])).content.decode()
    assert f"No tripod stands here: there is no floor to stand on at x {x:g} m, y {y:g} m." in page
    assert "<frame-view" not in page
    assert name_outside(graded, "station-1") not in page
    assert "Turn to it" not in page, "there is nothing to turn"
    assert reverse("look_round_from", args=[graded.pk, "station-2"]) in page, "the others are a press away"
    beside = client.get(reverse("look_round_from", args=[graded.pk, "station-2"])).content.decode()
    assert "No tripod" not in beside
    assert "<frame-view" in beside


def test_a_case_whose_kit_is_gone_says_so(graded: Any, client: Client, three: Any) -> None:
    from trainer.library.models import Edition

    Edition.objects.filter(what="kit").update(current=False)
    client.force_login(three.insider)
    page = client.get(reverse("look_round", args=[graded.pk])).content.decode()
    assert "No frame can be made: there is no kit named &#x27;heron-three&#x27;." in page
    assert "<frame-view" not in page


def test_the_other_stations_are_where_the_frame_shows_them() -> None:
    here = Stand("station-1", "Station 1", 0, 1.0, 1.0)
    south = Stand("station-2", "Station 2", 0, 1.0, -1.0)
    north_east = Stand("reference-1", "Reference R1", 0, 2.0, 2.0)
    above = Stand("station-3", "Station 3", 1, 4.0, 1.0)
    assert south.seen_from(here) == (90.0, 2.0), "the middle is east, and azimuth grows to the right"
    assert north_east.seen_from(here) == pytest.approx((-45.0, math.sqrt(2.0)))
    said = others([here, south, north_east, above], here, "m")
    assert [(one["words"], one["shown"]) for one in said] == [("Station 2", "90"), ("Reference R1", "−45")]
