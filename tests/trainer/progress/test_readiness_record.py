"""A readiness record: made by the person alone, confirmed by its code without an account, taken back for good."""

from __future__ import annotations

import math
import re
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import open_check
from trainer.drills.models import CheckEnd, CheckWitness
from trainer.library.rules import SITE_RULE
from trainer.people.models import Membership, Role, Team
from trainer.progress.catch_up import catch_up
from trainer.progress.life import tallied
from trainer.progress.models import ReadinessRecord
from trainer.progress.record_confirm import code_of, confirm
from trainer.progress.record_make import CODE_CHARS, LETTERS, RecordError, in_groups, make_record, new_code, revoke
from trainer.progress.record_public import TRIES_A_MINUTE
from trainer.progress.record_says import says, sheet_of
from trainer.progress.standings import now_of
from trainer.progress.tally import dawn
from trainer.roster.models import Decision, ObservedShoot

pytestmark = pytest.mark.django_db


@pytest.fixture
def now() -> datetime:
    return timezone.now()


@pytest.fixture
def practised(three: Any, graded_row: Callable[..., Any], now: datetime) -> Any:
    for number in range(4):
        graded_row(three.insider, {"D1": 1.0, "D2": 0.5}, at=now - timedelta(days=3, minutes=number))
    catch_up()
    return three.insider


@pytest.fixture
def record(practised: Any, now: datetime) -> ReadinessRecord:
    return made(practised, now)


def made(person: Any, now: datetime, **change: Any) -> ReadinessRecord:
    fields = {"by": person, "consent": True, "expires_on": now.date() + timedelta(days=30), "now": now, **change}
    return make_record(person, **fields)


def test_a_code_cannot_be_guessed_and_no_letter_is_taken_for_another() -> None:
    assert CODE_CHARS * math.log2(len(set(LETTERS))) >= 60
    assert not set(LETTERS) & set("0O1IL2Z5S6B8U")
    codes = {new_code() for _ in range(500)}
    assert len(codes) == 500
    assert {letter for code in codes for letter in code} == set(LETTERS)
    assert in_groups("3479CDFGHJKMNPQR") == "3479-CDFG-HJKM-NPQR"


def test_only_the_person_makes_it(practised: Any, three: Any, now: datetime) -> None:
    for who in (three.trainer, three.mate, three.outsider):
        with pytest.raises(PermissionDenied):
            made(practised, now, by=who)
    assert not ReadinessRecord.objects.exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"consent": False}, "Tick"),
        ({"days": 0}, "last day"),
        ({"days": 181}, "last day"),
    ],
)
def test_it_needs_consent_and_a_last_day_within_bounds(
    change: dict[str, Any], words: str, practised: Any, now: datetime
) -> None:
    if "days" in change:
        change = {"expires_on": now.date() + timedelta(days=change["days"])}
    with pytest.raises(RecordError, match=words):
        made(practised, now, **change)
    assert made(practised, now, expires_on=now.date() + timedelta(days=180))


def test_there_is_none_of_nothing_and_none_while_a_check_is_open(three: Any, practised: Any, now: datetime) -> None:
    with pytest.raises(RecordError, match="Nothing has been graded"):
        made(three.mate, now)
    open_check(practised, "rule-1", now)
    with pytest.raises(RecordError, match="check is open"):
        made(practised, now)


def test_it_says_the_standing_of_its_day_and_keeps_it(record: ReadinessRecord, practised: Any, now: datetime) -> None:
    body = record.body
    assert (body["name"], body["firm"], body["state"], body["count"]) == ("Insider", "Home", "in training", 8)
    assert (body["rule"], body["cut"], body["check"], body["shoot"]) == ("rule-1", 80.0, None, None)
    assert 0 <= body["low"] <= body["score"] <= body["high"] <= 100
    assert {star["name"] for star in body["stars"]} >= {"Keep the line of sight", "Level it"}
    assert body == says(practised, now)


def test_what_has_faded_since_the_last_case_is_said_as_of_its_own_day(
    three: Any, graded_row: Callable[..., Any], now: datetime
) -> None:
    for number in range(20):
        graded_row(three.insider, {"D2": 1.0, "V1": 1.0}, at=now - timedelta(days=120, minutes=number))
    catch_up()
    then, body = now_of(three.insider, now), says(three.insider, now)
    today = tallied(three.insider.pk, SITE_RULE).figures(dawn(now.date()))
    assert (body["score"], body["low"], body["high"], body["chance"]) == (
        today.overall.score, today.overall.low, today.overall.high, today.overall.chance,
    )  # fmt: skip
    assert body["chance"] < then.chance
    assert then.stars["D2"].call == "ready"
    assert today.skills["D2"].chance < SITE_RULE.ready_chance
    assert [star["says"] for star in body["stars"] if star["name"] == then.stars["D2"].name] == ["not enough evidence"]


def test_it_says_whether_the_newest_check_was_supervised(practised: Any, three: Any, now: datetime) -> None:
    check = open_check(practised, "rule-1", now)
    end_check(check, CheckEnd.Outcome.READY, CheckFigures(86.0, 80.5, 91.0, 0.93, 18), now)
    told = says(practised, now)["check"]
    assert (told["outcome"], told["count"], told["supervised"], told["opened_in_a_year"]) == ("ready", 18, False, 1)
    CheckWitness.objects.create(readiness_check=check, by=three.trainer, alone=True, made_at=now)
    assert says(practised, now)["check"]["supervised"] is True


def test_it_names_the_rule_of_a_check_that_went_by_another_one(practised: Any, now: datetime) -> None:
    check = open_check(practised, "rule-of-then", now)
    end_check(check, CheckEnd.Outcome.READY, CheckFigures(66.0, 60.5, 71.0, 0.93, 18), now)
    page = render_to_string("progress/parts/record_sheet.html", {"sheet": sheet_of(says(practised, now))})
    assert "Ready, by this check and rule-of-then," in page
    same = {**says(practised, now)["check"], "rule": "rule-1"}
    page = render_to_string(
        "progress/parts/record_sheet.html", {"sheet": sheet_of({**says(practised, now), "check": same})}
    )
    assert "Ready, by this check," in page


def test_a_shoot_may_have_been_signed_for_another_firm_than_the_one_it_names(
    practised: Any, three: Any, now: datetime
) -> None:
    ObservedShoot.objects.create(
        person=practised, by=three.trainer, shot_on=now.date(), seen={}, signed=True, client_key=uuid.uuid4(),
        made_at=now,
    )  # fmt: skip
    Membership.objects.filter(person=practised).update(until=now)
    Membership.objects.create(person=practised, team=Team.objects.get(name="South"), role=Role.OPERATOR)
    body = says(practised, now)
    assert (body["firm"], body["shoot"]["signed"]) == ("Away", True)
    page = render_to_string("progress/parts/record_sheet.html", {"sheet": sheet_of(body)})
    assert "signed by a trainer." in page


def test_no_hold_s_reason_and_no_trainer_s_name_is_in_it(practised: Any, three: Any, now: datetime) -> None:
    Decision.objects.create(person=practised, by=three.trainer, what="hold", reason="a secret reason", made_at=now)
    record = made(practised, now)
    assert record.body["state"] == "held"
    assert "secret" not in str(record.body)
    assert "Trainer" not in str(record.body)


def test_a_code_is_read_however_it_is_typed() -> None:
    code = "3479CDFGHJKMNPQR"
    for typed in (code, code.lower(), in_groups(code), f"  {in_groups(code).replace('-', ' - ')} "):
        assert code_of(typed) == code
    assert code_of(code[:-1]) == code_of(code + "3") == code_of("O" * 16) == code_of("")


def test_it_stands_until_its_last_day_and_not_after(record: ReadinessRecord, now: datetime) -> None:
    last = now + timedelta(days=30)
    for at, status in ((now, "stands"), (last, "stands"), (last + timedelta(days=1), "expired")):
        found = confirm(record.code, at)
        assert found is not None
        assert found.status == status
        assert (found.sheet is None) == (status != "stands")
    assert confirm(new_code(), now) is None


def test_what_is_true_today_stands_beside_it(
    record: ReadinessRecord, practised: Any, three: Any, now: datetime
) -> None:
    found = confirm(record.code, now)
    assert found is not None
    assert (found.same, found.today) == (True, "Today the state is the same: in training.")
    Decision.objects.create(person=practised, by=three.trainer, what="hold", reason="a secret reason", made_at=now)
    found = confirm(record.code, now)
    assert found is not None
    assert not found.same
    assert found.today.startswith("Today the state is another one: held by a named person")


def test_a_record_of_ready_shows_no_tick_once_that_is_not_so_any_more(
    record: ReadinessRecord, practised: Any, client: Client
) -> None:
    ReadinessRecord.objects.filter(pk=record.pk).update(body={**record.body, "state": "ready"})
    told = client.get(reverse("record_confirmed", args=[record.code])).content.decode()
    assert "does not stand today" in told
    assert "What it said on its day" in told
    assert "Readiness record, not so today" in told
    assert 'class="verdict holds"' not in told
    client.force_login(practised)
    mine = client.get(reverse("readiness_record")).content.decode()
    assert "Whoever asks today is told that it is not so today: you are in training" in mine


def test_taken_back_it_says_nothing_any_more(
    record: ReadinessRecord, practised: Any, three: Any, now: datetime
) -> None:
    with pytest.raises(PermissionDenied):
        revoke(record, by=three.trainer, now=now)
    first = revoke(record, by=practised, now=now).revoked_at
    assert revoke(record, by=practised, now=now + timedelta(days=1)).revoked_at == first
    found = confirm(record.code, now)
    assert found is not None
    assert (found.status, found.sheet, found.today) == ("revoked", None, "")


def test_its_pages_make_it_confirm_it_and_take_it_back(practised: Any, three: Any, client: Client) -> None:
    client.force_login(practised)
    last = (timezone.now().date() + timedelta(days=30)).isoformat()
    refused = client.post(reverse("readiness_record"), {"expires_on": last})
    assert (refused.status_code, ReadinessRecord.objects.count()) == (400, 0)
    assert b"Tick that" in refused.content
    sheet = client.post(reverse("readiness_record"), {"expires_on": last, "consent": "yes"}, follow=True)
    record = ReadinessRecord.objects.get()
    assert in_groups(record.code).encode() in sheet.content
    for words in (b"What it proves", b"What it does not prove", b"no certification", b"rule-1", b"n = 8"):
        assert words in sheet.content
    visitor = Client()
    told = visitor.post(reverse("confirm_record"), {"code": in_groups(record.code).lower()}, follow=True).content
    assert b"The record stands and says: in training" in told
    assert b'class="verdict look-again"' in told, "a tick is for who is ready"
    assert b"Insider" in told
    assert b"Today the state is the same" in told
    client.post(reverse("record_revoke", args=[record.pk]))
    told = visitor.get(reverse("record_confirmed", args=[record.code])).content
    assert b"The record was revoked" in told
    assert b"Insider" not in told
    client.force_login(three.trainer)
    assert client.get(reverse("record_sheet", args=[record.pk])).status_code == 404
    assert client.post(reverse("record_revoke", args=[record.pk])).status_code == 404


def test_every_code_that_no_record_has_is_answered_alike(record: ReadinessRecord, client: Client) -> None:
    near = record.code[:-1] + next(letter for letter in LETTERS if letter != record.code[-1])
    pages = set()
    for code in (new_code(), near, "x", "O" * 16, record.code + "3", "A-B"):
        reply = client.get(reverse("record_confirmed", args=[code]))
        page = reply.content.decode().replace(f'value="{in_groups(code.replace("-", ""))}"', 'value="as typed"')
        pages.add((reply.status_code, re.sub(r'(nonce|value|data-token)="[^"]{20,}"', "", page)))
    [(status, page)] = pages
    assert status == 404
    assert "No record has this code" in page
    assert 'value="as typed"' in page, "what was typed stands there to be mended"


def test_wrong_codes_take_as_many_queries_as_each_other(
    record: ReadinessRecord, client: Client, django_assert_num_queries: Any
) -> None:
    for code in (new_code(), "x", "O" * 16):
        with django_assert_num_queries(3):
            client.get(reverse("record_confirmed", args=[code]))


def test_codes_are_not_tried_by_the_hundred(record: ReadinessRecord, client: Client) -> None:
    statuses = [
        client.get(reverse("record_confirmed", args=[new_code()])).status_code for _ in range(2 * TRIES_A_MINUTE + 1)
    ]
    assert statuses[0] == 404
    assert statuses[-1] == 429
    other = client.get(reverse("record_confirmed", args=[record.code]), REMOTE_ADDR="203.0.113.9")
    assert other.status_code == 200, "somebody else is not held up"


def test_whoever_is_erased_takes_their_records_along(record: ReadinessRecord, practised: Any, now: datetime) -> None:
    from trainer.drills.erase import erase

    erase(practised, now)
    assert confirm(record.code, now) is None
