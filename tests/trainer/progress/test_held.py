"""Everything held about a person is shown, handed out and erased: no table is forgotten."""

from __future__ import annotations

import csv
import json
import uuid
import zipfile
from collections.abc import Callable
from dataclasses import asdict
from datetime import timedelta
from io import BytesIO, StringIO
from typing import Any

import html5lib
import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import connection, models
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.conftest import PASSWORD
from tests.trainer.conftest import FIRST
from trainer.drills.append_only import expected_names, trigger_names
from trainer.drills.erase import erase
from trainer.drills.flag import flag
from trainer.drills.models import Answer, Attempt, Check, CheckCase, Entry, Flag, Grade
from trainer.library.rules import SITE_RULE, enter_rule, rule_named
from trainer.people.models import Firm, Membership, Person, Role, Team
from trainer.people.roles import PeopleError
from trainer.progress.catch_up import catch_up
from trainer.progress.held import ENTERED, LEFT_OUT, SOURCES, exported, fields_of, held_about
from trainer.progress.held_file import held_file
from trainer.progress.models import Record
from trainer.roster.models import Decision, ObservedShoot, Remark

pytestmark = pytest.mark.django_db
NOT_ABOUT_SOMEBODY = {"library.Edition", "drills.CaseVoid", "roster.Refresher", "roster.RefresherEnd",
                      "roster.ReshootImport", "roster.JobCount"}  # fmt: skip
"""Entered by somebody about a firm, a case or a team, and about nobody."""
REACHED_OTHERWISE = {"account.EmailConfirmation"}
"""Letters of the library to an address; none is sent here (see the settings), and they go with the address."""


def names_a_person(model: type[models.Model]) -> list[Any]:
    return [field for field in model._meta.concrete_fields if field.related_model is Person]


def test_every_table_that_names_a_person_is_handed_out_and_lets_go_of_them() -> None:
    told = {(source.model, source.path) for source in SOURCES} | {(model, column) for model, column, _ in ENTERED}
    forgotten, kept = [], []
    for model in apps.get_models():
        for field in names_a_person(model):
            if (model, field.name) not in told:
                forgotten.append(f"{model._meta.label}.{field.name}")
            if field.remote_field.on_delete not in {models.CASCADE, models.SET_NULL}:
                kept.append(f"{model._meta.label}.{field.name}")
    assert not forgotten, f"say in progress/held.py what it holds about a person: {forgotten}"
    assert not kept, f"erasing a person would be stopped by it: {kept}"


def test_every_table_that_hangs_on_one_about_a_person_is_handed_out_too() -> None:
    about = {source.model for source in SOURCES} - {Person}
    forgotten = [
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if field.related_model in about and model not in about and model._meta.label not in REACHED_OTHERWISE
    ]
    assert not forgotten, f"it hangs on a row about a person: {forgotten}"
    entered_only = {model._meta.label for model, _, _ in ENTERED if model not in about}
    assert entered_only == NOT_ABOUT_SOMEBODY


def test_no_secret_is_among_the_columns() -> None:
    columns = {field.name for source in SOURCES for field in fields_of(source.model)}
    assert not columns & LEFT_OUT
    assert not [name for name in columns if "password" in name or "digest" in name or "secret" in name]


@pytest.fixture
def lived(three: Any, graded_row: Callable[..., Any]) -> Any:
    """The insider with a graded case, a flag, a shoot, a decision, a remark and a session."""
    attempt = graded_row(three.insider, {"D1": 0.5}, answer={"stations": [], "words": "=1+1"})
    flag(attempt, by=three.insider, words="=HYPERLINK of a door that is not there", now=FIRST)
    ObservedShoot.objects.create(
        person=three.insider, by=three.trainer, shot_on=FIRST.date(), seen={"D1": "done"}, signed=True,
        words="@good work", client_key=uuid.uuid4(), made_at=FIRST,
    )  # fmt: skip
    Decision.objects.create(
        person=three.insider, by=three.trainer, what="hold", reason="-until the kit is mended", made_at=FIRST
    )
    Remark.objects.create(person=three.mate, by=three.insider, attempt=attempt.pk, words="to a mate", made_at=FIRST)
    catch_up()
    return three.insider


def read(person: Any) -> tuple[dict[str, Any], dict[str, list[list[str]]]]:
    file = zipfile.ZipFile(BytesIO(held_file(person, timezone.now())))
    assert file.testzip() is None
    whole = json.loads(file.read("held.json"))
    tables = {
        name[:-4]: list(csv.reader(StringIO(file.read(name).decode("utf-8-sig"), newline="")))
        for name in file.namelist()
        if name.endswith(".csv")
    }
    return whole, tables


def test_the_file_holds_every_row_in_both_forms(lived: Any) -> None:
    whole, tables = read(lived)
    assert whole["format"] == "levelhead-held"
    for name, table in whole["tables"].items():
        assert len(table["rows"]) == max(0, len(tables.get(name, [])) - 1), name
    rows = {name: table["rows"] for name, table in whole["tables"].items()}
    assert rows["people-person-pk"][0]["email"] == "insider@example.org"
    assert rows["drills-grade-person"][0]["credit"] == 0.5
    assert rows["roster-decision-person"][0]["by"] == "Trainer"
    assert rows["entered"] == [{"what": "remarks", "at": "2026-03-01T09:00:00Z", "words": "to a mate"}]
    assert "mate@example.org" not in json.dumps(whole)


def test_no_cell_is_computed_by_a_spreadsheet(lived: Any) -> None:
    _, tables = read(lived)
    cells = [cell for rows in tables.values() for row in rows for cell in row]
    assert not [cell for cell in cells if cell[:1] in {"=", "@", "\t", "\r"}]
    assert not [cell for cell in cells if cell[:1] in {"+", "-"} and not cell[1:].replace(".", "").isdigit()]
    assert "'=HYPERLINK of a door that is not there" in cells


def test_nothing_of_others_is_in_it(lived: Any, three: Any, graded_row: Callable[..., Any]) -> None:
    graded_row(three.mate, {"D2": 1.0})
    catch_up()
    whole, _ = read(three.outsider)
    assert "Insider" not in json.dumps(whole)
    assert sum(len(table["rows"]) for table in whole["tables"].values()) == 2, "oneself, and one role"


def test_what_a_check_says_waits_until_it_is_over(lived: Any) -> None:
    attempt = Attempt.objects.get(person=lived)
    check = Check.objects.create(person=lived, rule="rule-1", opened_at=FIRST)
    CheckCase.objects.create(readiness_check=check, attempt=attempt, place=1)
    for source in SOURCES:
        if source.model._meta.label in {"drills.Grade", "progress.Evidence", "progress.Judgement"}:
            assert list(exported(source, lived)) == []


def test_the_page_says_it_in_words(lived: Any) -> None:
    client = Client()
    client.force_login(lived)
    reply = client.get(reverse("my_data"))
    text = reply.content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    for words in ("a door that is not there", "until the kit is mended", "insider@example.org", "Open sessions"):
        assert words in text
    counts = {one.title: one.count for one in held_about(lived, 5)}
    assert (counts["Grades"], counts["Open sessions"], counts["What you entered"]) == (1, 1, 1)
    file = client.get(reverse("my_data_file"))
    assert file.headers["Content-Type"] == "application/zip"
    assert file.headers["Cache-Control"] == "no-store"


def left_about(pk: Any) -> list[str]:
    """Tables that still name the person, or hold the name or address in some text."""
    found = [
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models()
        for field in names_a_person(model)
        if model._default_manager.filter(**{field.name: pk}).exists()
    ]
    for model in apps.get_models():
        for row in model._default_manager.values():
            if any(word in str(row) for word in (str(pk), pk.hex, "insider@example.org", "Insider")):
                found.append(model._meta.label)
    return found


@pytest.mark.parametrize("keeps", [True, False])
def test_erasing_leaves_nothing_but_what_the_firm_chose(keeps: bool, lived: Any, three: Any) -> None:
    Firm.objects.update(keeps_evidence=keeps)
    client = Client()
    client.force_login(lived)
    where = reverse("my_data_erase")
    assert client.post(where, {"password": PASSWORD}).status_code == 400
    assert client.post(where, {"sure": "yes", "password": "wrong"}).status_code == 400
    assert Person.objects.filter(pk=lived.pk).exists()
    pk = lived.pk
    assert client.post(where, {"sure": "yes", "password": PASSWORD}).status_code == 302
    assert left_about(pk) == []
    assert not Flag.objects.exists(), "words that somebody wrote go in both cases"
    assert Grade.objects.count() == Answer.objects.count() == Attempt.objects.count() == int(keeps)
    assert Remark.objects.get().by is None
    assert Entry.objects.order_by("-pk")[0].what == "erasure"
    assert trigger_names(connection) == expected_names(connection.vendor), "the seal is on"
    assert not Session.objects.exists() or "_auth_user_id" not in Session.objects.get().get_decoded()
    assert client.get(reverse("my_data")).status_code == 302
    catch_up()
    assert not Record.objects.filter(person=pk).exists()


def test_the_last_owner_of_a_firm_with_people_stays(three: Any) -> None:
    team = three.trainer.memberships.get().team
    Membership.objects.create(person=three.trainer, team=team, role=Role.OWNER)
    with pytest.raises(PeopleError, match="at least one owner"):
        erase(three.trainer, FIRST)
    Membership.objects.create(person=three.mate, team=team, role=Role.OWNER)
    erase(three.trainer, FIRST)
    assert not Person.objects.filter(pk=three.trainer.pk).exists()


def test_who_works_for_two_firms_leaves_answers_only_where_both_keep_them(
    three: Any, graded_row: Callable[..., Any]
) -> None:
    graded_row(three.insider, {"D1": 1.0})
    away = three.outsider.memberships.get().team
    Membership.objects.create(person=three.insider, team=away, role=Role.OPERATOR)
    Firm.objects.filter(pk=away.firm_id).update(keeps_evidence=False)
    erase(three.insider, FIRST)
    assert not Grade.objects.exists()


def test_the_demo_goes_away_and_real_firms_stay(three: Any, graded_row: Callable[..., Any], settings: Any) -> None:
    demo = Firm.objects.create(name="An invented firm", invented=True)
    team = Team.objects.create(firm=demo, name="First team")
    guest = Person.objects.create(email="guest@levelhead.example", name="Guest", password="!")
    for person in (guest, three.mate):
        Membership.objects.create(person=person, team=team, role=Role.OPERATOR)
    graded_row(guest, {"D1": 1.0})
    kept = graded_row(three.mate, {"D1": 0.25})
    own = {**asdict(SITE_RULE), "cut_points": 75.0}
    rule = enter_rule(demo, own, holds_from=FIRST.date() + timedelta(days=1), by=guest, now=FIRST)
    catch_up()
    out = StringIO()
    call_command("leave_demo", stdout=out)
    assert "Would go: 1 invented firm(s), 1 people, 1 attempts" in out.getvalue()
    assert Person.objects.filter(pk=guest.pk).exists()
    call_command("leave_demo", yes=True, stdout=out)
    assert not Person.objects.filter(pk=guest.pk).exists()
    assert list(Attempt.objects.all()) == [kept]
    assert set(Team.objects.values_list("name", flat=True)) == {"North", "South"}
    assert Record.objects.get().person == three.mate
    assert rule_named(rule.name).cut_points == 75.0, "a check of somebody who stays may have been opened under it"
    settings.DEMO = True
    call_command("demo", stdout=out)
    assert "not made again" in out.getvalue()
    assert not Team.objects.filter(firm__invented=True).exists()
    assert timezone.now() - Firm.objects.get(invented=True).closed_at < timedelta(minutes=5)
