"""Appeals: a person asks to look again at the state that was shown; whoever decides answers, once, in words."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse
from django.utils import timezone

from tests.trainer.roster.conftest import OTHERS
from trainer.people.models import Membership, Role
from trainer.roster.appeal import WORDS_MAX, appeal, waiting_appeal
from trainer.roster.entry import EntryError, KeyTaken
from trainer.roster.models import Appeal, Reply
from trainer.roster.reply import reply

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 10, 15, 0, tzinfo=UTC)
WORDS = "It was the landing, not a tread."
ANSWER = "Agreed: the picture shows the landing."


def ask(firm: Any, person: Any = None, **fields: Any) -> Appeal:
    given: dict[str, Any] = {"key": uuid.uuid4(), "state": "held", "words": WORDS, "now": NOW}
    return appeal(person or firm.insider, **{**given, **fields})


def test_it_keeps_the_state_as_shown_and_waits_for_an_answer(firm: Any) -> None:
    asked = ask(firm, words=f" {WORDS}\n")
    assert (asked.state, asked.words) == ("held", WORDS)
    assert waiting_appeal(firm.insider) == asked
    with pytest.raises(EntryError, match="waits for a reply already"):
        ask(firm)
    reply(asked, by=firm.manager, words=ANSWER, now=NOW)
    assert waiting_appeal(firm.insider) is None
    assert ask(firm).made_at > asked.made_at


def test_sending_again_gives_the_same(firm: Any) -> None:
    key = uuid.uuid4()
    first = ask(firm, key=key)
    assert ask(firm, key=key, words="Something else altogether.") == first
    assert Appeal.objects.get().words == WORDS
    with pytest.raises(KeyTaken):
        ask(firm, firm.mate, key=key)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"state": "the best"}, "cannot be read"),
        ({"words": "   no    "}, "at least 10 letters"),
        ({"words": "x" * (WORDS_MAX + 1)}, "at most 1000"),
    ],
)
def test_what_is_no_appeal_is_refused_with_the_reason(fields: dict[str, Any], words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        ask(firm, **fields)


def test_somebody_about_whom_nobody_decides_has_nothing_to_appeal_to(firm: Any) -> None:
    with pytest.raises(EntryError, match="operator in no team"):
        ask(firm, firm.trainer)
    Membership.objects.filter(person=firm.insider).update(until=NOW)
    with pytest.raises(EntryError, match="operator in no team"):
        ask(firm)


@pytest.mark.parametrize("who", [name for name in (*OTHERS, "trainer") if name != "anonymous"])
def test_only_who_decides_answers(who: str, firm: Any) -> None:
    with pytest.raises(PermissionDenied):
        reply(ask(firm), by=getattr(firm, who), words=ANSWER, now=NOW)


def test_a_manager_who_shoots_too_never_answers_the_own_appeal(firm: Any) -> None:
    Membership.objects.create(person=firm.manager, team=firm.home, role=Role.OPERATOR)
    with pytest.raises(PermissionDenied):
        reply(ask(firm, firm.manager), by=firm.manager, words=ANSWER, now=NOW)


def test_the_first_answer_stands_and_the_second_is_told(firm: Any) -> None:
    asked = ask(firm)
    first = reply(asked, by=firm.manager, words=ANSWER, now=NOW)
    assert reply(asked, by=firm.manager, words=f"{ANSWER} ", now=NOW) == first
    with pytest.raises(EntryError, match="Manager has answered already"):
        reply(asked, by=firm.owner, words="No, it was a tread.", now=NOW)
    assert Reply.objects.get().words == ANSWER
    assert Appeal.objects.get().words == WORDS


def test_the_form_sends_one_and_keeps_the_words_when_it_is_refused(firm: Any, visit: Any) -> None:
    client, sent = visit("insider"), {"key": str(uuid.uuid4()), "state": "held", "words": WORDS}
    for _ in range(2):
        assert client.post(reverse("appeal"), sent).status_code == 302
    page = client.post(reverse("appeal"), {**sent, "key": str(uuid.uuid4()), "words": "And one thing more."})
    assert page.status_code == 400
    assert "waits for a reply already" in page.content.decode()
    assert "And one thing more." in page.content.decode()
    assert Appeal.objects.count() == 1


def test_the_list_shows_what_waits_to_those_who_decide_about_them(firm: Any, visit: Any) -> None:
    asked = ask(firm)
    for who, status in {**dict.fromkeys(OTHERS, 404), "anonymous": 302, "trainer": 404, "east_manager": 200,
                        "away_owner": 200, "manager": 200, "owner": 200}.items():  # fmt: skip
        page = visit(who).get(reverse("appeals"))
        assert (who, page.status_code) == (who, status)
        assert (WORDS in page.content.decode()) == (who in {"manager", "owner"}), who
    client, where = visit("manager"), reverse("reply", args=[asked.pk])
    assert client.post(where, {"words": ANSWER}).status_code == 302
    assert ANSWER in client.get(reverse("appeals")).content.decode()
    late = visit("owner").post(where, {"words": "No, it was a tread."})
    assert late.status_code == 400
    assert "Manager has answered already" in late.content.decode()
    assert Reply.objects.get().made_at <= timezone.now()


def test_the_team_board_counts_what_waits_for_the_own_answer(firm: Any, visit: Any) -> None:
    said = "1 appeal waits for your answer"
    asked = ask(firm)
    told = {who: said in visit(who).get(reverse("team")).content.decode() for who in ("trainer", "manager", "owner",
                                                                                      "east_manager")}  # fmt: skip
    assert told == {"trainer": False, "manager": True, "owner": True, "east_manager": False}
    reply(asked, by=firm.manager, words=ANSWER, now=NOW)
    assert said not in visit("manager").get(reverse("team")).content.decode()
