"""Holding, releasing, sending anyway: by a named manager or owner, never about oneself, the newest one stands."""

from __future__ import annotations

import threading
import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from tests.trainer.roster.conftest import OTHERS
from trainer.people.models import Membership, Role
from trainer.progress.standings import now_of
from trainer.roster.decide import REASON_MAX, DecidedMeanwhile, decide, in_force, newest_decision, open_choices, told
from trainer.roster.entry import EntryError, KeyTaken
from trainer.roster.models import Decision

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 10, 15, 0, tzinfo=UTC)
TODAY = NOW.date()
REASON = "Stood on the treads at two homes."


def say(firm: Any, what: str = "hold", **fields: Any) -> Decision:
    last = newest_decision(firm.insider, firm.manager)
    given: dict[str, Any] = {
        "by": firm.manager, "key": uuid.uuid4(), "reason": REASON, "until": None, "now": NOW,
        "seen": last.pk if last else None,
    }  # fmt: skip
    return decide(firm.insider, what=what, **{**given, **fields})


@pytest.mark.parametrize("by", ["manager", "owner"])
def test_a_hold_stands_with_its_reason_until_it_is_released(by: str, firm: Any) -> None:
    held = say(firm, by=getattr(firm, by), reason=f"  {REASON} ")
    assert (held.reason, held.by, in_force(firm.insider, firm.manager, TODAY + timedelta(days=400))) == (
        REASON, getattr(firm, by), held,
    )  # fmt: skip
    assert now_of(firm.insider, NOW).state == "held"
    say(firm, "release", reason="Watched on Monday, landings only.")
    assert in_force(firm.insider, firm.manager, TODAY) is None
    assert now_of(firm.insider, NOW).state == "untried"
    assert [one.reason for one in Decision.objects.order_by("made_at")] == [REASON, "Watched on Monday, landings only."]


def test_a_send_stands_until_its_day_is_over(firm: Any) -> None:
    sent = say(firm, "send", until=date(2026, 3, 20))
    assert in_force(firm.insider, firm.manager, date(2026, 3, 20)) == sent
    assert in_force(firm.insider, firm.manager, date(2026, 3, 21)) is None
    assert now_of(firm.insider, NOW).sent_until == date(2026, 3, 20)
    assert told(sent) == "may be sent until 20 March 2026 all the same"


def test_a_hold_comes_at_any_time_and_nothing_else_comes_over_a_hold(firm: Any) -> None:
    assert open_choices(None) == ("hold", "send")
    assert open_choices(say(firm, "send", until=TODAY)) == ("release", "hold", "send")
    held = say(firm)
    assert held.made_at > NOW, "two decisions of one moment have an order"
    assert open_choices(held) == ("release",)
    with pytest.raises(EntryError, match="Release it first"):
        say(firm, "send", until=TODAY)
    assert newest_decision(firm.insider, firm.manager) == held


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"what": "release"}, "nothing to release"),
        ({"what": "perhaps"}, "Choose what you decide"),
        ({"what": "send"}, "Give the last day"),
        ({"what": "send", "until": date(2026, 3, 9)}, "is over"),
        ({"what": "send", "until": date(2026, 6, 9)}, "At most 90 days ahead"),
        ({"reason": "   because   "}, "at least 10 letters"),
        ({"reason": "x" * (REASON_MAX + 1)}, "at most 500"),
    ],
)
def test_what_cannot_be_decided_is_refused_with_the_reason(fields: dict[str, Any], words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        say(firm, **fields)
    assert not Decision.objects.exists()


@pytest.mark.parametrize("who", [name for name in (*OTHERS, "trainer") if name != "anonymous"])
def test_nobody_else_decides(who: str, firm: Any) -> None:
    with pytest.raises(PermissionDenied):
        say(firm, by=getattr(firm, who))


def test_nobody_decides_about_oneself(firm: Any) -> None:
    Membership.objects.create(person=firm.manager, team=firm.home, role=Role.OPERATOR)
    with pytest.raises(PermissionDenied):
        decide(firm.manager, by=firm.manager, key=uuid.uuid4(), what="send", reason=REASON, until=TODAY, seen=None,
               now=NOW)  # fmt: skip
    assert decide(firm.manager, by=firm.owner, key=uuid.uuid4(), what="hold", reason=REASON, until=None, seen=None,
                  now=NOW).by == firm.owner  # fmt: skip


def test_sending_again_gives_the_same_even_when_more_was_decided_since(firm: Any) -> None:
    key = uuid.uuid4()
    first = say(firm, key=key)
    say(firm, "release")
    assert say(firm, key=key, seen=None) == first
    assert Decision.objects.count() == 2
    with pytest.raises(KeyTaken):
        say(firm, "hold", key=key, by=firm.owner)


def test_who_decides_over_a_decision_that_was_not_shown_looks_first(firm: Any) -> None:
    say(firm, by=firm.owner)
    with pytest.raises(DecidedMeanwhile, match="Owner decided in the meantime: held"):
        say(firm, "send", until=TODAY, seen=None)
    assert Decision.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_many_who_decide_at_once_one_is_first_and_the_others_are_told(firm: Any) -> None:
    people = [firm.manager, firm.owner] * 3
    barrier, found = threading.Barrier(len(people)), list[Any]()

    def run(by: Any) -> None:
        try:
            barrier.wait()
            found.append(say(firm, by=by, seen=None))
        except DecidedMeanwhile as error:
            found.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(by,)) for by in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    stored = Decision.objects.get()
    assert [one for one in found if not isinstance(one, DecidedMeanwhile)] == [stored]
    assert len(found) == len(people)


def form(**fields: str) -> dict[str, str]:
    return {"key": str(uuid.uuid4()), "seen": "", "what": "hold", "reason": REASON, "until": "", **fields}


def test_the_form_decides_once_however_often_it_is_sent(firm: Any, visit: Any) -> None:
    client, sent, where = visit("manager"), form(), reverse("decide", args=[firm.insider.pk])
    for _ in range(2):
        assert client.post(where, sent).status_code == 302
    assert Decision.objects.get().reason == REASON
    text = client.get(where).content.decode()
    assert "<b>Held</b>, says Manager" in text
    assert 'value="release"' in text
    assert 'value="send"' not in text


def test_a_refused_form_keeps_what_was_typed(firm: Any, visit: Any) -> None:
    until = (timezone.now().date() + timedelta(days=200)).isoformat()
    page = visit("owner").post(reverse("decide", args=[firm.insider.pk]), form(what="send", until=until))
    text = page.content.decode()
    assert page.status_code == 400
    assert "At most 90 days ahead" in text
    assert REASON in text
    assert f'value="{until}"' in text
    wrong = visit("owner").post(reverse("decide", args=[firm.insider.pk]), form(what="send", until="soon"))
    assert "Give the day as year, month and day." in wrong.content.decode()


def test_a_form_that_was_shown_before_another_decision_shows_that_one(firm: Any, visit: Any) -> None:
    where = reverse("decide", args=[firm.insider.pk])
    visit("owner").post(where, form())
    page = visit("manager").post(where, form(what="send", until=timezone.now().date().isoformat()))
    assert page.status_code == 400
    assert "Owner decided in the meantime" in page.content.decode()
    assert Decision.objects.count() == 1
