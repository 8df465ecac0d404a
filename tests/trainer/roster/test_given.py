"""Drills and rounds given to people, taken back, and words on an attempt: by who leads, seen by whom they are for."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse
from django.utils import timezone

from tests.trainer.roster.conftest import OTHERS
from trainer.people.models import Membership, Role
from trainer.progress.asked import asked_of
from trainer.roster.assign import assign, open_assignments, remarks_on
from trainer.roster.entry import EntryError, KeyTaken
from trainer.roster.given import offers
from trainer.roster.models import Assignment, Remark, Withdrawal
from trainer.roster.remark import remark
from trainer.roster.withdraw import withdraw

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("stocked")]
NOW = datetime(2026, 3, 10, 15, 0, tzinfo=UTC)
DRILL = "two-rooms-place"


def give(firm: Any, *people: Any, **fields: Any) -> list[Assignment]:
    given: dict[str, Any] = {
        "by": firm.trainer, "key": uuid.uuid4(), "recipes": [DRILL], "count": 3, "words": "", "due_on": None,
        "now": NOW,
    }  # fmt: skip
    return assign(people or (firm.insider,), **{**given, **fields})


@pytest.mark.parametrize("by", ["trainer", "manager", "owner"])
def test_who_leads_gives_a_drill_to_several_and_sending_again_gives_nothing_twice(by: str, firm: Any) -> None:
    key = uuid.uuid4()
    first = give(firm, firm.insider, firm.mate, by=getattr(firm, by), key=key, words=" Mind the hall. ")
    assert give(firm, firm.mate, firm.insider, by=getattr(firm, by), key=key) == first
    assert {one.person for one in Assignment.objects.all()} == {firm.insider, firm.mate}
    assert {(one.recipe, one.count, one.words) for one in first} == {(DRILL, 3, "Mind the hall.")}
    asked = asked_of(firm.insider, NOW)
    assert [(one.recipe, one.asked, one.done) for one in asked] == [(DRILL, 3, 0)]


def test_a_key_is_good_for_one_hand(firm: Any) -> None:
    key = uuid.uuid4()
    give(firm, key=key)
    with pytest.raises(KeyTaken):
        give(firm, key=key, by=firm.manager)


@pytest.mark.parametrize("who", [name for name in OTHERS if name != "anonymous"])
def test_nobody_else_gives_takes_back_or_remarks(who: str, firm: Any, graded_row: Any) -> None:
    visitor, given, attempt = getattr(firm, who), give(firm)[0], graded_row(firm.insider, {"D2": 1.0})
    with pytest.raises(PermissionDenied):
        give(firm, by=visitor)
    with pytest.raises(PermissionDenied):
        withdraw(given, by=visitor, now=NOW)
    with pytest.raises(PermissionDenied):
        remark(firm.insider, attempt.pk, by=visitor, key=uuid.uuid4(), words="Well seen.", now=NOW)


def test_one_person_of_another_team_and_nobody_is_given_anything(firm: Any) -> None:
    with pytest.raises(PermissionDenied):
        give(firm, firm.insider, firm.outsider)
    assert not Assignment.objects.exists()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"recipes": []}, "Choose a drill"),
        ({"recipes": ["no-such-drill"]}, "Choose a drill"),
        ({"count": 0}, "from 1 to 20"),
        ({"count": 21}, "from 1 to 20"),
        ({"due_on": date(2026, 3, 9)}, "from today"),
        ({"due_on": date(2027, 3, 11)}, "a year ahead"),
        ({"words": "x" * 301}, "at most 300"),
    ],
)
def test_what_cannot_be_given_is_refused(fields: dict[str, Any], words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        give(firm, **fields)
    assert not Assignment.objects.exists()


def test_what_is_taken_back_is_asked_no_more_and_stays(firm: Any) -> None:
    given = give(firm)[0]
    first = withdraw(given, by=firm.manager, now=NOW)
    assert withdraw(given, by=firm.owner, now=NOW + timedelta(days=1)) == first
    assert Withdrawal.objects.get().by == firm.manager
    assert list(open_assignments(firm.insider)) == []
    assert asked_of(firm.insider, NOW) == []
    assert Assignment.objects.get() == given


def test_the_list_offers_each_drill_under_its_skill(firm: Any) -> None:
    assert [(group, [(one.value, one.recipes) for one in row]) for group, row in offers()] == [
        ("Enough, not too many", [(DRILL, (DRILL,))])
    ]


def test_a_round_is_each_drill_of_a_skill_where_it_has_several(firm: Any, entries: list[Any], visit: Any) -> None:
    from trainer.library.shelf import Entry, take_in

    recipe = next(one.body for one in entries if one.what == "recipe")
    take_in([*entries, Entry("recipe", "two-more", {**recipe, "name": "two-more"})], NOW)
    ((_, row),) = offers()
    assert (row[0].value, row[0].recipes) == ("round-D1", ("two-more", DRILL))
    sent = {"key": str(uuid.uuid4()), "what": "round-D1", "count": "1", "to": [str(firm.insider.pk), str(firm.mate.pk)]}
    client = visit("trainer")
    for _ in range(2):
        assert client.post(reverse("assign"), sent).status_code == 302
    assert Assignment.objects.count() == 4
    assert {one.recipe for one in open_assignments(firm.mate)} == {"two-more", DRILL}


def form(firm: Any, **fields: Any) -> dict[str, Any]:
    return {"key": str(uuid.uuid4()), "what": DRILL, "count": "2", "words": "Mind the hall.", "due_on": "",
            "to": [str(firm.insider.pk)], **fields}  # fmt: skip


def test_the_page_names_those_one_leads_and_gives_to_those_chosen(firm: Any, visit: Any) -> None:
    client = visit("trainer")
    text = client.get(f"{reverse('assign')}?to={firm.insider.pk}&to={firm.outsider.pk}").content.decode()
    assert f'value="{firm.insider.pk}" checked' in text
    assert "Outsider" not in text
    assert client.post(reverse("assign"), form(firm)).status_code == 302
    assert [one.words for one in open_assignments(firm.insider)] == ["Mind the hall."]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"to": []}, "Choose who it is for."),
        ({"count": "many"}, "a whole number"),
        ({"what": "round-Z9"}, "Choose a drill"),
        ({"due_on": "soon"}, "year, month and day"),
        ({"due_on": "2020-01-01"}, "from today"),
    ],
)
def test_a_refused_form_keeps_what_was_filled_in(fields: dict[str, Any], words: str, firm: Any, visit: Any) -> None:
    page = visit("manager").post(reverse("assign"), form(firm, **fields))
    text = page.content.decode()
    assert page.status_code == 400
    assert words in text
    assert "Mind the hall." in text
    assert not Assignment.objects.exists()


def test_somebody_of_another_team_among_them_is_like_somebody_who_is_not_there(firm: Any, visit: Any) -> None:
    replies = []
    for stranger in (firm.outsider.pk, uuid.uuid4()):
        page = visit("trainer").post(reverse("assign"), form(firm, key="", to=[str(firm.insider.pk), str(stranger)]))
        replies.append((page.status_code, "no longer in a team that you lead" in page.content.decode()))
    assert replies == [(400, True), (400, True)]
    assert not Assignment.objects.exists()


def test_it_is_taken_back_from_the_persons_page(firm: Any, visit: Any) -> None:
    given = give(firm)[0]
    assert visit("manager").post(reverse("withdraw", args=[given.pk])).status_code == 302
    assert Withdrawal.objects.get().by == firm.manager


def test_a_remark_stands_with_the_case_once_however_often_it_is_sent(firm: Any, issued: Any, good_answer: Any,
                                                                    visit: Any) -> None:  # fmt: skip
    from trainer.drills.answer import answer

    where = reverse("remark", args=[issued.pk])
    assert visit("trainer").get(where).status_code == 404, "nobody says anything about a case that is open"
    answer(issued, client_key=uuid.uuid4(), body=good_answer, sureness=2, answered_at=NOW, now=timezone.now())
    sent = {"key": str(uuid.uuid4()), "words": "The door hides the den."}
    graded = reverse("graded", args=[issued.pk])
    for _ in range(2):
        assert visit("trainer").post(where, sent).headers["Location"] == graded
    assert [one.words for one in remarks_on(issued.pk, firm.insider)] == ["The door hides the den."]
    own, leader = visit("insider").get(graded).content.decode(), visit("manager").get(graded).content.decode()
    assert "The door hides the den." in own
    assert "The door hides the den." in leader
    assert "Say something about this case" in leader
    assert "Say something about this case" not in own
    blank = visit("trainer").post(where, {"words": "  "})
    assert blank.status_code == 400
    assert "Write a few words first." in blank.content.decode()
    long = visit("trainer").post(where, {"words": "x" * 1001})
    assert "at most 1000" in long.content.decode()
    assert Remark.objects.count() == 1


def test_a_remark_is_on_an_attempt_of_that_person(firm: Any, graded_row: Any) -> None:
    attempt = graded_row(firm.mate, {"D2": 1.0})
    with pytest.raises(PermissionDenied):
        remark(firm.insider, attempt.pk, by=firm.trainer, key=uuid.uuid4(), words="Well seen.", now=NOW)


def test_a_trainer_who_shoots_too_gives_oneself_nothing(firm: Any) -> None:
    Membership.objects.create(person=firm.trainer, team=firm.home, role=Role.OPERATOR)
    with pytest.raises(PermissionDenied):
        give(firm, firm.trainer)
