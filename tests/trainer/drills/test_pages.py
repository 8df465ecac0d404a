"""The pages of attempts: whose they are, what a form without scripts sends, what may be asked and when."""

from __future__ import annotations

import json
import uuid
from contextlib import ExitStack
from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from tests.trainer.conftest import FIRST
from trainer.drills.check_case import give_case
from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import open_check
from trainer.drills.models import Answer, Attempt
from trainer.drills.void import void
from trainer.renders.seats import SEATS, seat

pytestmark = pytest.mark.django_db


def client_of(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


def form_of(answer: dict[str, Any], **more: str) -> dict[str, str]:
    """The coordinates list as a browser without scripts sends it."""
    fields = {"sureness": "2", "client_key": str(uuid.uuid4()), **more}
    for row, station in enumerate(answer["stations"], 1):
        fields |= {f"level-{row}": str(station["level"]), f"x-{row}": str(station["x"]), f"y-{row}": str(station["y"])}
    return fields


def parses(body: bytes) -> None:
    html5lib.HTMLParser(strict=True).parse(body.decode())


def test_starting_twice_leads_to_one_attempt(stocked: Any, three: Any) -> None:
    client = client_of(three.insider)
    first = client.post(reverse("start", args=["two-rooms-place"]))
    second = client.post(reverse("start", args=["two-rooms-place"]))
    assert first.status_code == second.status_code == 302
    assert first.url == second.url
    assert Attempt.objects.count() == 1


def test_a_start_of_an_unknown_recipe_is_not_here(stocked: Any, three: Any) -> None:
    assert client_of(three.insider).post(reverse("start", args=["nothing-like-it"])).status_code == 404


def test_a_start_with_nothing_in_stock_says_so_and_offers_to_try_again(stocked: Any, three: Any) -> None:
    from trainer.renders.models import Variation

    Variation.objects.all().delete()
    reply = client_of(three.insider).post(reverse("start", args=["two-rooms-place"]))
    assert reply.status_code == 503
    assert b"Try again" in reply.content
    parses(reply.content)


@pytest.mark.parametrize("who", ["mate", "outsider", "trainer"])
@pytest.mark.parametrize(
    ("name", "method"), [("attempt", "get"), ("graded", "get"), ("send", "post"), ("what_if", "post")]
)
def test_nobody_else_finds_the_attempt(issued: Any, three: Any, who: str, name: str, method: str) -> None:
    client = client_of(getattr(three, who))
    assert getattr(client, method)(reverse(name, args=[issued.pk])).status_code == 404


def test_a_passer_by_is_sent_to_sign_in(issued: Any) -> None:
    reply = Client().get(reverse("attempt", args=[issued.pk]))
    assert reply.status_code == 302
    assert reply.url.startswith(reverse("account_login"))


def test_a_form_without_scripts_is_graded_like_any_answer(issued: Any, three: Any, good_answer: dict[str, Any]) -> None:
    client = client_of(three.insider)
    reply = client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    assert reply.status_code == 302
    assert reply.url == reverse("graded", args=[issued.pk])
    stored = Answer.objects.get()
    assert stored.body == good_answer
    assert stored.sureness == 2
    page = client.get(reply.url)
    assert stored.grade.body["summary"].encode() in page.content
    parses(page.content)


def test_a_form_in_feet_is_kept_in_metres(issued: Any, three: Any) -> None:
    three.insider.units = "ft"
    three.insider.save()
    fields = {"sureness": "1", "level-1": "0", "x-1": "3' 6\"", "y-1": "5"}
    client_of(three.insider).post(reverse("send", args=[issued.pk]), fields)
    (station,) = Answer.objects.get().body["stations"]
    assert (station["x"], station["y"]) == pytest.approx((1.0668, 1.524))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"x-1": "1", "y-1": "1", "level-1": "0"}, "how sure you are"),
        ({"x-1": "1", "y-1": "", "level-1": "0", "sureness": "2"}, "Row 1 of the list has one figure only"),
        ({"x-1": "one", "y-1": "1", "level-1": "0", "sureness": "2"}, "is not a length"),
        ({"x-1": "1", "y-1": "1", "level-1": "up", "sureness": "2"}, "is not a number of the list"),
        ({"x-1": "1", "y-1": "1", "level-1": "7", "sureness": "2"}, "stations[0].level"),
    ],
)
def test_a_form_that_cannot_be_read_says_where_and_stores_nothing(
    issued: Any, three: Any, fields: dict[str, str], words: str
) -> None:
    reply = client_of(three.insider).post(reverse("send", args=[issued.pk]), fields)
    assert reply.status_code == 400
    assert words.encode() in reply.content
    assert Answer.objects.count() == 0
    parses(reply.content)


def test_a_second_answer_changes_nothing_and_shows_the_first(
    issued: Any, three: Any, good_answer: dict[str, Any]
) -> None:
    client = client_of(three.insider)
    client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    reply = client.post(reverse("send", args=[issued.pk]), form_of({"stations": []}))
    assert reply.url == reverse("graded", args=[issued.pk])
    assert Answer.objects.get().body == good_answer


@pytest.mark.parametrize("sent", [False, True], ids=["opened", "sent"])
def test_an_open_case_that_was_taken_out_says_why_and_leads_to_the_drills(
    issued: Any, three: Any, good_answer: dict[str, Any], sent: bool
) -> None:
    void(issued, by=three.trainer, reason="The leaf is drawn wrongly.", now=FIRST)
    client, address = client_of(three.insider), reverse("attempt", args=[issued.pk])
    if sent:
        reply = client.post(reverse("send", args=[issued.pk]), form_of(good_answer), follow=True)
    else:
        reply = client.get(address, follow=True)
    assert reply.redirect_chain[-1] == (reverse("drills"), 302)
    words = "This case was taken out of the record: The leaf is drawn wrongly. Start a new one."
    assert reply.content.decode().count(words) == 1
    assert not Answer.objects.exists()


def test_an_answer_to_a_check_that_is_over_is_told_so(stocked: Any, three: Any) -> None:
    check = open_check(three.insider, "rule-1", FIRST)
    case = give_case(check, "two-rooms-place", FIRST)
    end_check(check, "given up", CheckFigures(81.0, 70.0, 90.0, 0.6, 1), FIRST)
    reply = client_of(three.insider).post(reverse("send", args=[case.pk]), form_of({"stations": []}), follow=True)
    assert reply.redirect_chain[-1][0] == reverse("check")
    assert b"This check is over; its open case takes no answer." in reply.content


def test_the_page_of_an_open_attempt_parses_and_turns_to_the_grade_once_there_is_one(
    issued: Any, three: Any, good_answer: dict[str, Any]
) -> None:
    client = client_of(three.insider)
    address = reverse("attempt", args=[issued.pk])
    parses(client.get(address).content)
    assert client.get(reverse("graded", args=[issued.pk])).url == address
    client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    assert client.get(address).url == reverse("graded", args=[issued.pk])


def ask(client: Client, attempt: Any, body: Any) -> Any:
    text = body if isinstance(body, str) else json.dumps(body)
    return client.post(reverse("what_if", args=[attempt.pk]), text, content_type="application/json")


def test_what_if_waits_for_the_answer_and_then_draws_without_keeping(
    issued: Any, three: Any, good_answer: dict[str, Any]
) -> None:
    client = client_of(three.insider)
    assert ask(client, issued, {"answer": good_answer}).status_code == 409
    client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    reply = ask(client, issued, {"answer": {"stations": good_answer["stations"][:1]}})
    assert reply.status_code == 200
    assert set(reply.json()) == {"layers", "said", "verdict", "marks"}
    assert 'data-role="seen-once"' in reply.json()["layers"][0]["areas"]
    assert "What if:" in reply.json()["verdict"]
    assert Answer.objects.count() == 1


@pytest.mark.parametrize(
    "body",
    ["", "[", "[]", "{}", '{"answer": 3}', '{"answer": {"stations": [{"level": 0, "x": NaN, "y": 1}]}}', "[" * 50_000],
)
def test_what_if_refuses_what_it_cannot_read(issued: Any, three: Any, good_answer: dict[str, Any], body: str) -> None:
    client = client_of(three.insider)
    client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    reply = ask(client, issued, body)
    assert reply.status_code == 400
    assert reply.json()["detail"]


def test_what_if_refuses_more_than_an_answer_can_hold(issued: Any, three: Any, good_answer: dict[str, Any]) -> None:
    client = client_of(three.insider)
    client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    assert ask(client, issued, " " * 70_000).status_code == 413


def test_what_if_waits_for_a_seat_when_others_try_things_out(
    issued: Any, three: Any, good_answer: dict[str, Any]
) -> None:
    client = client_of(three.insider)
    client.post(reverse("send", args=[issued.pk]), form_of(good_answer))
    with ExitStack() as others:
        for _ in range(SEATS):
            others.enter_context(seat())
        api = reverse("api_what_if", args=[issued.pk])
        for reply in (
            ask(client, issued, {"answer": good_answer}),
            client.post(api, {"answer": good_answer}, content_type="application/json"),
        ):
            assert (reply.status_code, reply.headers["Retry-After"]) == (503, "1")
            assert reply.json()["detail"].startswith("Others are trying things out just now.")
    for _ in range(SEATS + 1):
        assert ask(client, issued, {"answer": good_answer}).status_code == 200
        assert ask(client, issued, {"answer": 3}).status_code == 400


def test_the_list_of_drills_names_the_skill_in_words_and_the_way_to_try(stocked: Any, three: Any) -> None:
    page = client_of(three.insider).get(reverse("drills"))
    parses(page.content)
    assert b"Enough, not too many" in page.content or b"Keep the line of sight" in page.content
    assert reverse("try", args=["two-rooms"]).encode() in page.content
