"""The database itself refuses to change the ledger, whoever asks; cutting the link to a person is let through."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction

from trainer.drills.append_only import BESIDE, SEALED, WORDS, expected_names, trigger_names
from trainer.drills.models import Answer, Attempt, Entry, Grade, Void

pytestmark = pytest.mark.django_db


@pytest.fixture
def ledger(graded_row: Callable[..., Any], three: Any) -> Attempt:
    attempt = graded_row(three.insider, {"D1": 0.5})
    Void.objects.create(attempt=attempt, by=three.trainer, reason="a trial", made_at=attempt.issued_at)
    return attempt


def refused(statement: str) -> None:
    with pytest.raises(IntegrityError, match=WORDS), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


def test_the_seal_is_on() -> None:
    assert trigger_names(connection) == expected_names(connection.vendor)


def test_it_covers_every_table_and_column_of_the_ledger() -> None:
    tables = {model._meta.db_table: model for model in apps.get_app_config("drills").get_models()}
    assert {sealed.table for sealed in SEALED} == set(tables) - BESIDE
    for sealed in SEALED:
        columns = {field.column for field in tables[sealed.table]._meta.local_fields}
        assert {*sealed.columns, sealed.person_column} - {None} == columns


@pytest.mark.parametrize("table", [sealed.table for sealed in SEALED])
def test_it_refuses_to_remove_a_row(table: str, ledger: Attempt) -> None:
    refused(f"DELETE FROM {table}")


@pytest.mark.parametrize(
    ("table", "column"), [(sealed.table, column) for sealed in SEALED for column in sealed.columns]
)
def test_it_refuses_to_change_any_column(table: str, column: str, ledger: Attempt) -> None:
    refused(f'UPDATE {table} SET "{column}" = "{column}"')


@pytest.mark.parametrize("model", [Attempt, Answer, Grade, Void, Entry])
def test_it_refuses_the_framework_too(model: Any, ledger: Attempt) -> None:
    with pytest.raises(IntegrityError, match=WORDS), transaction.atomic():
        model.objects.first().save()


def test_it_lets_the_link_to_a_person_be_cut(ledger: Attempt, three: Any) -> None:
    Attempt.objects.filter(pk=ledger.pk).update(person=None)
    Void.objects.filter(attempt=ledger).update(by=None)
    ledger.refresh_from_db()
    assert ledger.person is None
    assert ledger.void.by is None


def test_it_refuses_to_give_an_attempt_to_somebody(ledger: Attempt, three: Any) -> None:
    with pytest.raises(IntegrityError, match=WORDS), transaction.atomic():
        Attempt.objects.filter(pk=ledger.pk).update(person=three.outsider)


def test_it_refuses_a_second_grade_of_one_answer(ledger: Attempt) -> None:
    grade = Grade.objects.get(answer__attempt=ledger)
    with pytest.raises(IntegrityError), transaction.atomic():
        Grade.objects.create(
            answer=grade.answer, credit=1.0, verdict="holds", body={}, engine="1", standard="x", made_at=grade.made_at
        )
