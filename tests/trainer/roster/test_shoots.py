"""An observed shoot: entered once by who trains the person, signed when nothing was "not done", struck with words."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.trainer.roster.conftest import OTHERS
from trainer.people.models import Membership, Role
from trainer.roster.entry import EntryError, KeyTaken
from trainer.roster.models import ObservedShoot, Struck
from trainer.roster.sign import sign, starred
from trainer.roster.strike import strike

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 10, 15, 0, tzinfo=UTC)
REASON = "Entered for the wrong person."


def all_done(**other: str) -> dict[str, str]:
    return {**dict.fromkeys(starred(), "done"), **other}


def enter(firm: Any, **fields: Any) -> ObservedShoot:
    given: dict[str, Any] = {
        "by": firm.trainer, "key": uuid.uuid4(), "shot_on": date(2026, 3, 10), "seen": all_done(), "signed": True,
        "words": "", "now": NOW,
    }  # fmt: skip
    return sign(firm.insider, **{**given, **fields})


def test_the_skills_watched_for_are_the_starred_ones() -> None:
    assert starred() == ("A2", "B1", "B3", "C1", "D2", "E1", "V1", "V3", "G1", "G2")


def test_a_trainer_enters_a_shoot_and_sending_it_again_gives_the_same(firm: Any) -> None:
    key = uuid.uuid4()
    first = enter(firm, key=key, words=" calm and careful ")
    again = enter(firm, key=key, words="something else", seen=all_done(B1="not done"), signed=False)
    assert again == first
    assert ObservedShoot.objects.count() == 1
    assert (again.words, again.signed, again.seen["B1"]) == ("calm and careful", True, "done")


def test_a_key_is_good_for_one_person_and_one_trainer(firm: Any) -> None:
    key = uuid.uuid4()
    enter(firm, key=key)
    with pytest.raises(KeyTaken):
        sign(firm.mate, by=firm.trainer, key=key, shot_on=NOW.date(), seen=all_done(), signed=True, words="", now=NOW)
    with pytest.raises(KeyTaken):
        enter(firm, key=key, by=firm.owner)


@pytest.mark.parametrize("who", [name for name in (*OTHERS, "manager") if name != "anonymous"])
def test_nobody_else_enters_or_strikes_one(who: str, firm: Any) -> None:
    shoot = enter(firm)
    with pytest.raises(PermissionDenied):
        enter(firm, by=getattr(firm, who))
    with pytest.raises(PermissionDenied):
        strike(shoot, by=getattr(firm, who), reason=REASON, now=NOW)


def test_a_trainer_who_shoots_too_never_signs_their_own(firm: Any) -> None:
    Membership.objects.create(person=firm.trainer, team=firm.home, role=Role.OPERATOR)
    with pytest.raises(PermissionDenied):
        sign(firm.trainer, by=firm.trainer, key=uuid.uuid4(), shot_on=NOW.date(), seen=all_done(), signed=True,
             words="", now=NOW)  # fmt: skip


def test_a_shoot_with_something_not_done_is_entered_but_not_signed(firm: Any) -> None:
    seen = all_done(B1="not done", E1="not seen")
    with pytest.raises(EntryError, match="not done was Put the lens over the axis"):
        enter(firm, seen=seen)
    assert not ObservedShoot.objects.exists()
    assert enter(firm, seen=seen, signed=False).signed is False


def test_what_was_not_seen_does_not_hinder_but_nothing_seen_is_no_shoot(firm: Any) -> None:
    assert enter(firm, seen=all_done(E1="not seen")).signed
    with pytest.raises(EntryError, match="nothing was seen done"):
        enter(firm, seen=dict.fromkeys(starred(), "not seen"))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"shot_on": date(2026, 3, 12)}, "still to come"),
        ({"shot_on": date(2025, 3, 9)}, "more than 365 days ago"),
        ({"seen": {"A2": "done"}}, "Missing: Put the lens over the axis"),
        ({"seen": all_done(A1="done")}, "no starred skill 'A1'"),
        ({"seen": all_done(A2="perhaps")}, "Missing: Level it"),
        ({"words": "x" * 2001}, "at most 2000"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(fields: dict[str, Any], words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        enter(firm, **fields)


def test_a_struck_shoot_stays_with_the_first_reason(firm: Any) -> None:
    shoot = enter(firm)
    with pytest.raises(EntryError, match="a reason of at least 10"):
        strike(shoot, by=firm.trainer, reason="wrong", now=NOW)
    first = strike(shoot, by=firm.trainer, reason=REASON, now=NOW)
    assert strike(shoot, by=firm.owner, reason="Another reason altogether.", now=NOW) == first
    assert Struck.objects.get().reason == REASON
    assert ObservedShoot.objects.get() == shoot


def untold(reply: Any) -> str:
    """A page without its token, which differs each time."""
    return re.sub(r'data-token="\w+"|nonce="[^"]+"|value="\w{64}"', "", reply.content.decode())


def form(**fields: str) -> dict[str, str]:
    return {
        "key": str(uuid.uuid4()), "shot_on": timezone.now().date().isoformat(), "signed": "yes",
        **{f"seen-{code}": what for code, what in all_done().items()}, **fields,
    }  # fmt: skip


@pytest.mark.parametrize(("who", "status"), [*[(name, 404) for name in OTHERS], ("manager", 404), ("trainer", 200),
                                             ("owner", 200)])  # fmt: skip
def test_the_form_is_there_for_trainers_of_the_team_alone(who: str, status: int, firm: Any, visit: Any) -> None:
    page = visit(who).get(reverse("observe", args=[firm.insider.pk]))
    assert page.status_code == (302 if who == "anonymous" else status)
    missing = visit(who).get(reverse("observe", args=[uuid.uuid4()]))
    if status == 404 and who != "anonymous":
        assert untold(page) == untold(missing), "as for an id that does not exist"
    if status == 200:
        assert "no-store" in page.headers["Cache-Control"]
        assert page.headers["Offline-Keep"]
        assert b"Local codes" in page.content
        assert b"parked with the engine off" in page.content


def test_the_form_works_without_scripts_and_twice_is_once(firm: Any, visit: Any) -> None:
    client, sent = visit("trainer"), form(words="Steady hands.")
    for _ in range(2):
        reply = client.post(reverse("observe", args=[firm.insider.pk]), sent)
        assert reply.headers["Location"] == reverse("shoots", args=[firm.insider.pk])
    assert ObservedShoot.objects.count() == 1
    assert "Steady hands." in client.get(reverse("shoots", args=[firm.insider.pk])).content.decode()


def test_a_refused_form_keeps_what_was_filled_in(firm: Any, visit: Any) -> None:
    sent = form(**{"seen-B1": "not done", "words": "Slid on the clamp."})
    page = visit("trainer").post(reverse("observe", args=[firm.insider.pk]), sent)
    text = page.content.decode()
    assert page.status_code == 400
    assert "It cannot be signed: not done was Put the lens over the axis." in text
    assert "Slid on the clamp." in text
    assert sent["key"] in text
    assert 'name="seen-B1" value="not done" checked' in text
    assert f'name="shot_on" value="{sent["shot_on"]}"' in text


@pytest.mark.parametrize("who", ["insider", "trainer", "manager", "owner"])
def test_the_person_and_whoever_leads_see_the_list(who: str, firm: Any, visit: Any) -> None:
    strike(enter(firm), by=firm.trainer, reason=REASON, now=NOW)
    text = visit(who).get(reverse("shoots", args=[firm.insider.pk])).content.decode()
    assert "10 March 2026: taken back" in text
    assert REASON in text


def test_a_reason_that_is_none_comes_back_as_it_was_typed(firm: Any, visit: Any) -> None:
    shoot = enter(firm)
    reply = visit("trainer").post(reverse("strike", args=[shoot.pk]), {"reason": "a <slip>"})
    assert reply.status_code == 400
    assert "a &lt;slip&gt;</textarea>" in reply.content.decode()
    assert not Struck.objects.exists()


@pytest.mark.parametrize("who", [name for name in OTHERS if name not in {"anonymous", "insider"}])
def test_nobody_else_sees_it(who: str, firm: Any, visit: Any) -> None:
    shoot = enter(firm)
    assert visit(who).get(reverse("shoots", args=[firm.insider.pk])).status_code == 404
    assert visit(who).post(reverse("strike", args=[shoot.pk]), {"reason": REASON}).status_code == 404
    assert not Struck.objects.exists()


def test_the_list_of_whom_to_watch_names_the_own_operators_alone(firm: Any, visit: Any) -> None:
    text = visit("trainer").get(reverse("observe_whom")).content.decode()
    assert "Insider" in text
    assert "Outsider" not in text
    assert visit("insider").get(reverse("observe_whom")).status_code == 404


def put(client: Client, person: Any, **fields: Any) -> Any:
    body = {
        "client_key": str(uuid.uuid4()), "shot_on": timezone.now().date().isoformat(), "seen": all_done(),
        "signed": True, "words": "", **fields,
    }  # fmt: skip
    return client.put(reverse("api_observed", args=[person.pk]), body, content_type="application/json")


def test_a_phone_sends_it_as_often_as_it_needs(firm: Any, visit: Callable[[str], Client]) -> None:
    fields = {"client_key": str(uuid.uuid4()), "by": str(firm.trainer.pk)}
    replies = [put(visit("trainer"), firm.insider, **fields) for _ in range(3)]
    assert [reply.status_code for reply in replies] == [200, 200, 200]
    assert replies[0].json() == replies[2].json()
    assert ObservedShoot.objects.count() == 1


def test_a_phone_that_changed_hands_signs_nothing_in_another_name(firm: Any, visit: Callable[[str], Client]) -> None:
    assert put(visit("owner"), firm.insider, by=str(firm.trainer.pk)).status_code == 404
    assert not ObservedShoot.objects.exists()


def test_the_api_refuses_as_the_form_does(firm: Any, visit: Callable[[str], Client]) -> None:
    refused = put(visit("trainer"), firm.insider, by=str(firm.trainer.pk), seen=all_done(B1="not done"))
    assert refused.status_code == 400
    assert "not done was" in refused.json()["detail"][0]
    for who in OTHERS:
        given = getattr(firm, who, firm.trainer)
        assert put(visit(who), firm.insider, by=str(given.pk)).status_code == (401 if who == "anonymous" else 404)
    taken = ObservedShoot.objects.create(
        person=firm.mate, by=firm.trainer, shot_on=NOW.date() - timedelta(days=1), seen=all_done(), signed=True,
        client_key=uuid.uuid4(), made_at=NOW,
    )  # fmt: skip
    clash = put(visit("trainer"), firm.insider, by=str(firm.trainer.pk), client_key=str(taken.client_key))
    assert clash.status_code == 409
