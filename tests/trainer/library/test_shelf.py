"""The shelf: contents under their hash, the current ones marked, the old ones kept for the ledger."""

from __future__ import annotations

from datetime import UTC, datetime
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from scoring.drill import content_hash
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.library.shelf import Entry, NotOnShelf, basis, house_standard, take_in

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 1, tzinfo=UTC)


def changed(entry: Entry, **fields: Any) -> Entry:
    return Entry(
        entry.what, fields.get("version", entry.name) if "version" in fields else entry.name, {**entry.body, **fields}
    )


def test_every_shipped_file_comes_onto_the_shelf() -> None:
    out = StringIO()
    call_command("library", stdout=out)
    assert len(shelf.names("floor")) >= 14
    assert len(shelf.names("kit")) == 3
    call_command("library", stdout=out)
    assert out.getvalue().splitlines()[1].endswith("0 of them new.")


def test_an_address_is_the_hash_of_the_content(entries: list[Entry]) -> None:
    take_in(entries, NOW)
    for edition in Edition.objects.all():
        assert edition.address == content_hash(edition.body)


def test_a_changed_floor_is_a_new_edition_and_another_basis(entries: list[Entry]) -> None:
    take_in(entries, NOW)
    before = basis("two-rooms-place")
    floor, *rest = entries
    assert take_in([changed(floor, title="Two other rooms"), *rest], NOW) == 1
    after = basis("two-rooms-place")
    assert after.address != before.address
    assert after.plan.title == "Two other rooms"
    assert Edition.objects.filter(what="floor", name="two-rooms").count() == 2
    assert take_in(entries, NOW) == 0
    assert basis("two-rooms-place") == before


def test_what_left_the_shelf_can_still_be_read_for_the_ledger(entries: list[Entry]) -> None:
    take_in(entries, NOW)
    standard, address = house_standard()
    take_in([entry for entry in entries if entry.what != "standard"], NOW)
    with pytest.raises(NotOnShelf):
        house_standard()
    assert shelf.standard_at(address) == standard


def test_the_latest_standard_is_in_force_unless_the_settings_name_one(entries: list[Entry], settings: Any) -> None:
    standard = entries[-1]
    later = [changed(standard, version=f"house-{number}") for number in (9, 10)]
    take_in([*entries[:-1], *later], NOW)
    assert house_standard()[0].version == "house-10"
    settings.HOUSE_STANDARD = "house-9"
    assert house_standard()[0].version == "house-9"


def test_a_folder_with_one_bad_file_is_not_taken_in_at_all(tmp_path: Any) -> None:
    (tmp_path / "floors").mkdir()
    (tmp_path / "floors" / "bad.json").write_text("{")
    with pytest.raises(CommandError, match=r"bad\.json"):
        call_command("library", folder=tmp_path)
    assert not Edition.objects.exists()
