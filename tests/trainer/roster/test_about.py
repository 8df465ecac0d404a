"""What was entered about a person: seen by the person and whoever leads, with the forms that each may use."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import PermissionDenied
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.urls import reverse
from django.utils import timezone

from tests.trainer.roster.conftest import OTHERS
from trainer.roster.about import AboutPerson, about_person
from trainer.roster.appeal import appeal
from trainer.roster.assign import assign
from trainer.roster.change_kit import change_kit
from trainer.roster.check_kit import check_kit
from trainer.roster.decide import decide
from trainer.roster.kit_parts import hand_list
from trainer.roster.news import news_of
from trainer.roster.remark import remark
from trainer.roster.reply import reply
from trainer.roster.sign import sign, starred
from trainer.roster.strike import strike
from trainer.roster.withdraw import withdraw

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("stocked")]
NOW = datetime(2026, 3, 10, 15, 0, tzinfo=UTC)
HELD = "Twice on the treads last week."


def rendered(about: AboutPerson, visitor: Any, state: str = "due") -> str:
    request = RequestFactory().get("/")
    request.user = visitor
    return render_to_string("roster/parts/about_person.html", {"about": about, "state": state}, request)


@pytest.fixture
def life(firm: Any, stocked: Any, graded_row: Any) -> Any:
    """A person about whom everything was entered; gives the graded attempt."""
    attempt = graded_row(firm.insider, {"D2": 0.4})
    seen = dict.fromkeys(starred(), "done")
    sign(firm.insider, by=firm.trainer, key=uuid.uuid4(), shot_on=date(2026, 3, 2), seen=seen, signed=True,
         words="Calm on the stairs.", now=NOW - timedelta(days=6))  # fmt: skip
    change_kit(firm.insider, by=firm.manager, key=uuid.uuid4(), kit="heron-three", parts=(),
               now=NOW - timedelta(days=5))  # fmt: skip
    change_kit(firm.insider, by=firm.trainer, key=uuid.uuid4(), kit="heron-three", parts=("phone",),
               now=NOW - timedelta(days=4))  # fmt: skip
    assign([firm.insider], by=firm.trainer, key=uuid.uuid4(), recipes=["two-rooms-place"], count=3,
           words="Mind the hall.", due_on=date(2026, 3, 12), now=NOW - timedelta(days=3))  # fmt: skip
    remark(firm.insider, attempt.pk, by=firm.trainer, key=uuid.uuid4(), words="The door hides the den.", now=NOW)
    decide(firm.insider, by=firm.manager, key=uuid.uuid4(), what="hold", reason=HELD, until=None, seen=None,
           now=NOW - timedelta(hours=2))  # fmt: skip
    appeal(firm.insider, key=uuid.uuid4(), state="held", words="It was the landing, not a tread.",
           now=NOW - timedelta(hours=1))  # fmt: skip
    return attempt


SAID = (
    "Held.", HELD, "It was the landing, not a tread.", "2 Mar 2026: signed", "Calm on the stairs.", "changed: phone",
    "Put the lens over the axis", "Two rooms", "Mind the hall.", "The door hides the den.",
)  # fmt: skip
FORMS = {
    "decide": "Decide about Insider", "reply": "Answer the appeal", "observe": "Watch a shoot",
    "check": "Go through the list by hand", "kit": "Change the kit", "give": "Give a drill or a round",
    "back": "Take back", "appeal": "Ask to have my state looked at again",
}  # fmt: skip
LEADS = {"kit", "give", "back"}


@pytest.mark.usefixtures("life")
@pytest.mark.parametrize(
    ("who", "forms"),
    [
        ("insider", set()),
        ("trainer", LEADS | {"observe", "check"}),
        ("manager", LEADS | {"decide", "reply"}),
        ("owner", LEADS | {"decide", "reply", "observe", "check"}),
    ],
)
def test_each_sees_all_of_it_with_the_forms_one_may_use(who: str, forms: set[str], firm: Any) -> None:
    visitor = getattr(firm, who)
    text = rendered(about_person(visitor, firm.insider, NOW), visitor)
    assert [words for words in SAID if words not in text] == []
    assert {name for name, words in FORMS.items() if words in text} == forms, "an appeal waits, so there is no new one"
    assert "None" not in text.replace("None.", "")


@pytest.mark.usefixtures("life")
@pytest.mark.parametrize("who", [name for name in OTHERS if name not in {"anonymous", "insider"}])
def test_nobody_else_is_told_anything(who: str, firm: Any) -> None:
    with pytest.raises(PermissionDenied):
        about_person(getattr(firm, who), firm.insider, NOW)


def test_of_somebody_new_it_says_that_there_is_nothing(firm: Any) -> None:
    text = rendered(about_person(firm.manager, firm.insider, NOW), firm.manager)
    assert "Nobody has decided anything" in text
    assert "No kit was given yet" in text
    assert "None that counts." in text


def test_the_notice_says_what_was_decided_by_whom_why_and_how_to_appeal(firm: Any, life: Any) -> None:
    waiting = about_person(firm.insider, firm.insider, NOW).waiting
    assert waiting is not None
    reply(waiting.row, by=firm.owner, words="We look at the pictures on Monday.", now=NOW)
    about = about_person(firm.insider, firm.insider, NOW)
    text = rendered(about, firm.insider, "held")
    assert about.own
    assert "Manager decided on 10 March 2026" in text
    assert "You are not sent out until it is released." in text
    assert "We look at the pictures on Monday." in text
    assert FORMS["appeal"] in text
    assert 'name="state" value="held"' in text
    assert FORMS["appeal"] not in rendered(about, firm.insider, ""), "no appeal against a state that is not shown"
    assert f"/attempts/{life.pk}/grade/" in text


def test_what_was_taken_back_is_not_given_any_more(firm: Any, life: Any) -> None:
    given = about_person(firm.trainer, firm.insider, NOW).given
    assert [(one.title, one.row.count, one.late) for one in given] == [("Two rooms", 3, False)]
    assert about_person(firm.trainer, firm.insider, NOW + timedelta(days=3)).given[0].late
    withdraw(given[0].row, by=firm.manager, now=NOW)
    assert about_person(firm.trainer, firm.insider, NOW).given == ()


def test_a_send_stands_until_its_day_is_over(firm: Any) -> None:
    decide(firm.insider, by=firm.manager, key=uuid.uuid4(), what="send", reason="Works beside the trainer that week.",
           until=date(2026, 3, 17), seen=None, now=NOW)  # fmt: skip
    about = about_person(firm.owner, firm.insider, NOW)
    assert about.choices == ("release", "hold", "send")
    assert "May be sent until 17 March 2026 all the same." in rendered(about, firm.owner)
    later = about_person(firm.owner, firm.insider, NOW + timedelta(days=8))
    assert (later.standing, later.choices, len(later.decisions)) == (None, ("hold", "send"), 1)


@pytest.mark.usefixtures("life")
def test_what_came_later_leaves_every_earlier_row_as_it_was(firm: Any) -> None:
    def rows() -> dict[tuple[str, Any], dict[str, Any]]:
        models = apps.get_app_config("roster").get_models()
        return {(model.__name__, row["pk"]): row for model in models for row in model._default_manager.values("pk", *(
            field.attname for field in model._meta.concrete_fields))}  # fmt: skip

    before = rows()
    about = about_person(firm.owner, firm.insider, NOW)
    assert about.waiting is not None
    strike(about.shoots[0], by=firm.trainer, reason="Entered for the wrong day.", now=NOW)
    reply(about.waiting.row, by=firm.manager, words="We look at the pictures.", now=NOW)
    decide(firm.insider, by=firm.owner, key=uuid.uuid4(), what="release", reason="It was the landing.", until=None,
           seen=about.decisions[0].row.pk, now=NOW)  # fmt: skip
    check_kit(about.changes[0].row, by=firm.trainer, done=[line.name for line in hand_list(["phone"])], now=NOW)
    change_kit(firm.insider, by=firm.trainer, key=uuid.uuid4(), kit="heron-three", parts=("lens",), now=NOW)
    withdraw(about.given[0].row, by=firm.trainer, now=NOW)
    after = rows()
    assert {key: after[key] for key in before} == before
    assert len(after) == len(before) + 6


def test_what_is_new_is_named_for_a_fortnight_and_its_words_are_not(firm: Any, life: Any, client: Any) -> None:
    told = ("a decision", "an observed shoot", "2 changes of your kit", "a remark on a case")
    assert news_of(firm.insider, NOW) == told
    assert news_of(firm.insider, NOW + timedelta(days=13)) == ("a decision", "a remark on a case")
    assert news_of(firm.insider, NOW + timedelta(days=15)) == ()
    assert news_of(firm.mate, NOW) == ()
    remark(firm.insider, life.pk, by=firm.trainer, key=uuid.uuid4(), words="Once more.", now=timezone.now())
    client.force_login(firm.insider)
    text = client.get(reverse("today")).content.decode()
    assert "your record</a>: a remark on a case." in text
    assert "Once more." not in text
    client.force_login(firm.mate)
    assert "New on" not in client.get(reverse("today")).content.decode()
