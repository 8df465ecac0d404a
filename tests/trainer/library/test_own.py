"""A firm's own kits and standards: checked like any file, held from their day, and never seen by another firm."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import asdict
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from scoring.border import FileProblems
from tests.trainer.conftest import FIRST
from trainer.drills.issue import issue, ways_for
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.library.own import (
    enter_kit,
    enter_standard,
    kits_for,
    put_in_use,
    standard_for,
    standard_of_firm,
    standards_of,
)  # fmt: skip
from trainer.people.models import Firm, Membership, Person, Role
from trainer.renders import stock
from trainer.renders.models import Variation

pytestmark = pytest.mark.django_db
DAY = FIRST.date()


@pytest.fixture
def home(three: Any) -> Firm:
    return Firm.objects.get(name="Home")


@pytest.fixture
def owner(three: Any, home: Firm, hashed_password: str) -> Person:
    person = Person.objects.create(email="owner@example.org", password=hashed_password, name="Owner")
    Membership.objects.create(person=person, team=home.teams.get(), role=Role.OWNER)
    return person


@pytest.fixture
def kit_body(stocked: Any) -> dict[str, Any]:
    return {**asdict(shelf.kit("heron-three")), "title": "Our everyday kit", "lens_height_m": 1.55}


@pytest.fixture
def graded_answer() -> Callable[..., Any]:
    from trainer.drills.answer import answer

    def send(attempt: Any, body: dict[str, Any]) -> None:
        answer(attempt, client_key=uuid.uuid4(), body=body, sureness=3, answered_at=FIRST, now=FIRST)

    return send


def body_now() -> dict[str, Any]:
    from trainer.drills.limits import _plain

    return _plain(shelf.house_standard()[0])


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_a_kit_of_the_firm_is_for_its_people_alone(
    home: Firm, owner: Person, kit_body: dict[str, Any], three: Any
) -> None:
    made = enter_kit(home, kit_body, by=owner, now=FIRST)
    assert [kit.title for kit in kits_for(three.insider)][-1] == "Our everyday kit"
    assert "Our everyday kit" not in [kit.title for kit in kits_for(three.outsider)]
    assert made.name not in shelf.names("kit")
    with pytest.raises(shelf.NotOnShelf):
        enter_kit(Firm.objects.get(name="Away"), kit_body, by=three.outsider, now=FIRST, name=made.name)


def test_a_changed_kit_is_a_new_edition_under_its_name(home: Firm, owner: Person, kit_body: dict[str, Any]) -> None:
    first = enter_kit(home, kit_body, by=owner, now=FIRST)
    second = enter_kit(home, {**kit_body, "headings": 5}, by=owner, now=FIRST, name=first.name)
    assert shelf.kit(first.name).headings == 5
    assert shelf.kit_at(first.address).headings == 3
    assert Edition.objects.get(pk=second.pk).current


def test_taking_in_the_files_leaves_the_firms_own_alone(
    home: Firm, owner: Person, kit_body: dict[str, Any], entries: list[Any]
) -> None:
    made = enter_kit(home, kit_body, by=owner, now=FIRST)
    shelf.take_in(entries, FIRST)
    assert shelf.kit(made.name).title == "Our everyday kit"


def test_a_kit_that_cannot_be_is_refused_with_its_place(home: Firm, owner: Person, kit_body: dict[str, Any]) -> None:
    with pytest.raises(FileProblems, match="headings"):
        enter_kit(home, {**kit_body, "headings": 40}, by=owner, now=FIRST)
    with pytest.raises(FileProblems, match=r"lens\.field_deg"):
        enter_kit(home, {**kit_body, "lens": {**kit_body["lens"], "field_deg": "wide"}}, by=owner, now=FIRST)


def test_cases_are_made_with_the_kit_in_use_and_with_the_recipes_own_until_then(
    home: Firm, owner: Person, kit_body: dict[str, Any], three: Any
) -> None:
    made = enter_kit(home, kit_body, by=owner, now=FIRST)
    put_in_use(three.insider, made.name, FIRST)
    own, plain = ways_for(three.insider, "two-rooms-place", FIRST)
    assert (own.kit, plain.kit) == (made.name, "")
    assert issue(three.insider, "two-rooms-place", "drill", FIRST).attempt.kit == "heron-three"
    assert DBTaskResult.objects.filter(args_kwargs__args__2=made.name).exists(), "cases for the own kit are asked for"
    stock.make_ready(own.made_of, 1, FIRST, at_most=1, draw=lambda: 5)
    assert issue(three.insider, "two-rooms-place", "check", FIRST).attempt.kit == made.name


def test_a_standard_holds_from_its_day_and_for_its_firm(home: Firm, owner: Person, stocked: Any, three: Any) -> None:
    site, _ = shelf.house_standard()
    enter_standard(home, {**body_now(), "link_max_m": 6.0}, holds_from=DAY + timedelta(days=3), by=owner, now=FIRST)
    assert standard_of_firm(home, DAY)[0] == site
    assert standard_of_firm(home, DAY + timedelta(days=3))[0].link_max_m == 6.0
    assert standard_for(three.insider, DAY) == ""
    assert standard_for(three.insider, DAY + timedelta(days=4)) == standards_of(home)[0].address
    assert standard_for(three.outsider, DAY + timedelta(days=4)) == ""
    assert shelf.house_standard()[0] == site


def test_a_standard_never_begins_today(home: Firm, owner: Person, stocked: Any) -> None:
    with pytest.raises(ValueError, match="after today"):
        enter_standard(home, body_now(), holds_from=DAY, by=owner, now=FIRST)


def test_a_band_with_a_gap_is_refused(home: Firm, owner: Person, stocked: Any) -> None:
    body = body_now()
    body["frames"]["tilt_deg"][1]["at_least"] = 0.9
    with pytest.raises(FileProblems, match="no band holds"):
        enter_standard(home, body, holds_from=date(2027, 1, 1), by=owner, now=FIRST)


def test_an_owner_enters_a_kit_on_the_page_and_is_told_what_is_wrong(owner: Person, stocked: Any, three: Any) -> None:
    client = signed_in(owner)
    assert client.get(reverse("kit_new")).status_code == 200
    wrong = client.post(reverse("kit_new"), {"title": "Ours", "note": "For small homes.", "headings": "two"})
    assert wrong.status_code == 400
    assert 'aria-invalid="true"' in wrong.content.decode()
    typed = {
        "title": "Ours", "note": "For small homes.", "camera_place": "In the middle.", "headings": "4",
        "lens.field_deg": "180,5", "pupil_side_mm": "−3.5",
    }  # fmt: skip
    assert client.post(reverse("kit_new"), typed).status_code == 302
    [kit] = [one for one in kits_for(owner) if one.title == "Ours"]
    assert (kit.headings, kit.lens.field_deg, kit.pupil_side_mm) == (4, 180.5, -3.5)
    assert signed_in(three.insider).get(reverse("kit_new")).status_code == 404
    assert signed_in(three.insider).get(reverse("kits")).status_code == 200


def test_two_edges_tell_where_the_pupil_sits(stocked: Any, three: Any) -> None:
    from scoring.rig.two_edges import shifts

    plus, minus = shifts(12.0, -5.0, 0.6, 4.0, 40.0)
    fields = {"near_m": "0.60", "far_m": "4.00", "turn_deg": "40", "plus_deg": str(plus), "minus_deg": str(minus)}
    page = signed_in(three.insider).get(reverse("two_edges"), fields).content.decode()
    assert "12.0&nbsp;mm ahead of the axis" in page
    assert "5.0&nbsp;mm to its left" in page
    assert signed_in(three.insider).get(reverse("two_edges"), {**fields, "near_m": "x"}).status_code == 400


def test_the_owner_sees_what_a_change_would_do_and_keeps_it_from_a_day(
    owner: Person, issued: Any, good_answer: dict[str, Any], three: Any, graded_answer: Callable[..., Any]
) -> None:
    graded_answer(issued, good_answer)
    client = signed_in(owner)
    assert "You may change them" in client.get(reverse("limits")).content.decode()
    seen = client.post(reverse("limits"), {"sight_range_m": "1", "preview": ""}).content.decode()
    assert f"{three.insider.name}: " in seen
    assert "1 of 1" in seen
    assert "The one answer there is would have been graded differently" in seen
    assert "The one stored reference would no longer hold, and a new one would be made: Two rooms." in seen
    assert not standards_of(Firm.objects.get(name="Home"))
    typed = {"link_max_m": "6", "frames.tilt_deg.1": "0.4", "holds_from": "2199-01-01", "keep": ""}
    kept = client.post(reverse("limits"), typed)
    assert kept.status_code == 302
    [made] = standards_of(Firm.objects.get(name="Home"))
    assert made.body["link_max_m"] == 6
    assert [band["at_least"] for band in made.body["frames"]["tilt_deg"]][1] == 0.4


def test_the_owner_sees_which_reference_could_do_with_a_station_less(owner: Person, stocked: Any) -> None:
    client = signed_in(owner)

    def seen() -> str:
        return str(client.post(reverse("limits"), {"link_max_m": "6", "preview": ""}).content.decode())

    assert "The one stored reference would still hold" in seen()
    assert "No answer of the firm’s operators has been graded yet" in seen()
    assert "could do with a station less" not in seen()
    newest = Variation.objects.order_by("-pk")[0]
    reference = newest.task["key"]["reference"]
    level, x, y = reference["stations"][0]
    reference["stations"].append([level, x + 0.3, y])
    reference["shows"] *= 2
    reference["links"] = [[0, 1]]
    newest.save()
    assert "This place could do with a station less, the others left where they are: Two rooms." in seen()
    assert "Compared is one stored case of each drill" in seen()


def test_a_trainer_reads_the_limits_and_others_do_not(stocked: Any, three: Any) -> None:
    client = signed_in(three.trainer)
    assert "An owner of the firm may change them" in client.get(reverse("limits")).content.decode()
    assert client.post(reverse("limits"), {"link_max_m": "6", "preview": ""}).status_code == 404
    assert signed_in(three.insider).get(reverse("limits")).status_code == 404
