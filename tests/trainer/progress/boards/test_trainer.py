"""The Trainer board: flags that wait, people stuck on one cause, agreement of trainers, quality of cases."""

from __future__ import annotations

import csv
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from trainer.drills.flag import flag
from trainer.drills.models import Answer, Grade, Void
from trainer.people.models import Membership, Person, Role, Team
from trainer.progress.boards.agree import agreed_on
from trainer.progress.boards.cases import cases_of
from trainer.progress.boards.stuck import confusions, stuck_on
from trainer.roster.models import ObservedShoot, Struck

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 20, 9, tzinfo=UTC)


@pytest.fixture
def named(graded_row: Callable[..., Any]) -> Callable[..., Any]:
    """A case of the film on the glass, with what the person said it was."""

    def make(person: Any, said: str, right: str = "F10", *, at: datetime = NOW - timedelta(days=5)) -> Any:
        credit = float(said == right)
        return graded_row(
            person, {"V3": credit}, at=at, kind="cause", recipe="a-cause", key={"known": {"code": right}},
            answer={"cause": said, "cue": "x"},
        )  # fmt: skip

    return make


def test_who_takes_one_cause_for_another_again_and_again_is_named_with_n(named: Callable[..., Any], three: Any) -> None:
    for said in ("F11", "F11", "F11", "F10"):
        named(three.insider, said)
    for said in ("F11", "F11", "F10", "F12", "F10"):
        named(three.mate, said)
    found = stuck_on(Person.objects.all(), NOW)
    assert [(one.name, one.confusion.times, one.confusion.of) for one in found] == [("Insider", 3, 4)]
    together = confusions(Person.objects.all(), NOW)
    assert [(one.times, one.of) for one in together] == [(5, 9), (1, 9)]


def test_what_is_long_ago_or_void_or_only_now_and_then_is_no_sticking(named: Callable[..., Any], three: Any) -> None:
    for _ in range(3):
        named(three.insider, "F11", at=NOW - timedelta(days=200))
    for _ in range(3):
        void = named(three.mate, "F11")
        Void.objects.create(attempt=void, reason="wrong", made_at=NOW)
    for said in ("F11",) * 3 + ("F10",) * 4:
        named(three.outsider, said)
    assert stuck_on(Person.objects.all(), NOW) == ()


@pytest.fixture
def watched(three: Any) -> Callable[..., ObservedShoot]:
    def make(person: Any, by: Any, seen: dict[str, str], *, on: date = date(2026, 3, 1)) -> ObservedShoot:
        return ObservedShoot.objects.create(
            person=person, by=by, shot_on=on, seen=seen, signed="not done" not in seen.values(),
            client_key=uuid.uuid4(), made_at=NOW,
        )  # fmt: skip

    return make


@pytest.fixture
def second(three: Any, hashed_password: str) -> Any:
    person = Person.objects.create(email="second@example.org", password=hashed_password, name="Second")
    Membership.objects.create(person=person, team=Team.objects.get(name="North"), role=Role.TRAINER)
    return person


def test_trainers_are_compared_where_two_saw_the_same_person(watched: Any, second: Any, three: Any) -> None:
    watched(three.insider, three.trainer, {"A2": "done", "B1": "done", "E1": "not seen"})
    watched(three.insider, second, {"A2": "done", "B1": "not done", "E1": "done"})
    watched(three.mate, three.trainer, {"A2": "not done"})
    watched(three.mate, second, {"A2": "not done"}, on=date(2026, 3, 20))
    found = agreed_on(Person.objects.all(), three.trainer)
    assert found.people == 2
    assert (found.signed.agreed, found.signed.pairs) == (1, 2)
    assert (found.skills.agreed, found.skills.pairs) == (2, 3)
    assert [(name, one.agreed, one.pairs) for name, one in found.each] == [
        ("Put the lens over the axis", 0, 1),
        ("Level it", 2, 2),
    ]


def test_the_same_trainer_twice_a_struck_shoot_and_one_months_away_are_no_pair(
    watched: Any, second: Any, three: Any
) -> None:
    watched(three.insider, three.trainer, {"A2": "done"})
    watched(three.insider, three.trainer, {"A2": "done"}, on=date(2026, 3, 2))
    struck = watched(three.insider, second, {"A2": "done"})
    Struck.objects.create(shoot=struck, by=second, reason="somebody else", made_at=NOW)
    watched(three.insider, second, {"A2": "done"}, on=date(2026, 5, 1))
    assert agreed_on(Person.objects.all(), three.trainer).people == 0


def test_a_device_with_a_wrong_clock_and_a_case_left_lying_make_no_time(
    attempt_row: Callable[..., Any], three: Any
) -> None:
    issued = NOW - timedelta(days=2)
    times = (
        (timedelta(minutes=-90), timedelta(minutes=2)),  # the device's clock is behind
        (timedelta(days=30), timedelta(minutes=2)),  # ... or ahead
        (timedelta(minutes=2), timedelta(days=1)),  # answered without a connection
        (timedelta(days=1), timedelta(days=1)),  # left lying
    )
    for by_device, by_server in times:
        row = Answer.objects.create(
            attempt=attempt_row(three.insider, issued_at=issued), client_key=uuid.uuid4(), body={}, sureness=2,
            answered_at=issued + by_device, received_at=issued + by_server,
        )  # fmt: skip
        Grade.objects.create(
            answer=row, credit=1.0, verdict="holds", body={}, engine="1", standard="house-1", made_at=NOW
        )
    (line,) = cases_of(Person.objects.all(), NOW)
    assert (line.answers, line.seconds) == (4, 120.0)


def test_a_case_that_everybody_does_well_on_is_flagged_from_thirty_people(
    graded_row: Callable[..., Any], three: Any
) -> None:
    home = Team.objects.get(name="North")
    for number in range(30):
        person = Person.objects.create(email=f"p{number}@example.org", name=f"P {number}")
        Membership.objects.create(person=person, team=home, role=Role.OPERATOR)
        graded_row(
            person, {"D1": 1.0}, at=NOW - timedelta(days=1), recipe="easy", issued_at=NOW - timedelta(days=1, minutes=1)
        )
        graded_row(person, {"D1": float(number % 3 > 0)}, at=NOW, recipe="fair", fingerprint=f"v{number % 2}")
    lines = {line.recipe: line for line in cases_of(Person.objects.all(), NOW)}
    assert lines["easy"].flags == ("too easy",)
    assert lines["easy"].seconds == 60.0
    assert lines["fair"].flags == ()
    assert lines["fair"].variants == 2
    assert lines["fair"].quality.share == pytest.approx(2 / 3)
    assert next(iter(cases_of(Person.objects.all(), NOW))).recipe == "easy", "what is flagged comes first"
    some = cases_of(Person.objects.filter(name__startswith="P 1"), NOW)
    assert all(line.flags == () for line in some)


def test_the_page_and_its_sheet_show_it_to_those_who_lead(
    client: Client, named: Callable[..., Any], three: Any, second: Any, watched: Any
) -> None:
    now = timezone.now()
    for _ in range(3):
        wrong = named(three.insider, "F11", at=now - timedelta(days=1))
    named(three.outsider, "F12", at=now - timedelta(days=1))
    flag(wrong, by=three.insider, words="There is no haze at all in it.", now=now)
    watched(three.insider, three.trainer, {"A2": "done"})
    watched(three.insider, second, {"A2": "done"})
    client.force_login(three.trainer)
    page = client.get("/trainer/").content.decode()
    assert "There is no haze at all in it." in page
    assert "3 of 3</span> times" in page
    assert "1 of 1</b>" in page
    assert "too few to say" in page
    assert "Outsider" not in page
    rows = list(csv.DictReader(StringIO(client.get("/trainer/cases.csv").content.decode("utf-8-sig"), newline="")))
    assert [(row["recipe"], row["people"], row["answers"]) for row in rows] == [("a-cause", "1", "3")]
    client.force_login(three.insider)
    assert client.get("/trainer/").status_code == client.get("/trainer/cases.csv").status_code == 404
