"""What fields are called on forms: every label belongs to a field, and no two fields share one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scoring.rig.kit import Kit
from scoring.standard import Standard
from trainer.library.fields import rows_of
from trainer.library.labels import LABELS, WORDS

FILES = Path(__file__).resolve().parents[3] / "scenarios"


def rows() -> list[tuple[str, str]]:
    forms = ((Standard, FILES / "standards" / "house.json"), (Kit, next((FILES / "kits").glob("*.json"))))
    return [(row.path, row.label) for form, file in forms for row in rows_of(form, json.loads(file.read_text()))]


def test_every_label_belongs_to_a_field_and_every_field_of_two_words_has_one() -> None:
    paths = {path for path, _ in rows()}
    assert LABELS.keys() <= paths
    assert {path for path in paths if "_" in path} <= LABELS.keys()


def test_what_stands_under_a_label_is_a_sentence_of_its_own_that_does_not_say_the_label_again() -> None:
    forms = ((Standard, FILES / "standards" / "house.json"), (Kit, next((FILES / "kits").glob("*.json"))))
    told = [row for form, file in forms for row in rows_of(form, json.loads(file.read_text())) if row.words]
    assert WORDS.keys() <= LABELS.keys()
    assert len(told) > 10
    assert [row.path for row in told if "..." in row.words or row.label.lower() in row.words.lower()] == []


@pytest.mark.parametrize("form", [Standard, Kit])
def test_no_two_fields_of_a_form_share_a_label(form: type) -> None:
    file = FILES / "standards" / "house.json" if form is Standard else next((FILES / "kits").glob("*.json"))
    labels = [row.label for row in rows_of(form, json.loads(file.read_text()))]
    assert len(labels) == len(set(labels)) > 10
    assert labels[0] == "Title"
