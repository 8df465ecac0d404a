"""Reshoots in a file: every bad row named, none of a bad file entered, each file once, cells that nobody runs."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.roster.entry import EntryError
from trainer.roster.models import Reshoot, ReshootImport
from trainer.roster.reshoot_file import (
    BYTES_MAX,
    COLUMNS,
    RISKY,
    ROWS_MAX,
    Fault,
    Sheet,
    armed,
    decoded,
    disarmed,
    read,
    written,
)
from trainer.roster.take_in_reshoots import take_in, taken_in_before

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
GOOD = """day,cause,cost,team,who,kit,place,words
2026-05-04,Spin stopped short,79.50,North,insider@example.org,,flat,battery was empty
2026-05-09,F1,45,,,,,

2026-05-11,Keep the line of sight,"120,25",,,,house on one floor,"hall was left out, said the client"
"""


def sheet_of(firm: Any, text: str, by: Any = None) -> Sheet:
    return read(text, firm.home, by=by or firm.trainer, today=NOW.date())


def test_a_sound_file_is_read_row_by_row(firm: Any) -> None:
    sheet = sheet_of(firm, GOOD)
    assert sheet.faults == ()
    first, second, third = sheet.rows
    assert (first.cause, first.cost, first.person, first.team) == ("F8", Decimal("79.50"), firm.insider, firm.home)
    assert (second.cause, second.person, second.team) == ("F1", None, firm.home)
    assert (third.cause, third.cost, third.words) == ("D2", Decimal("120.25"), "hall was left out, said the client")
    assert not Reshoot.objects.exists(), "reading stores nothing"


def test_semicolons_a_mark_of_order_and_other_line_ends_make_no_difference(firm: Any) -> None:
    data = b"\xef\xbb\xbf" + b"day;cause;cost\r\n2026-05-04;F8;79,50\r\n"
    sheet = sheet_of(firm, decoded(data))
    assert sheet.faults == ()
    assert sheet.rows[0].cost == Decimal("79.50")
    assert sheet.digest == sheet_of(firm, "day;cause;cost\n2026-05-04;F8;79,50\n").digest


def test_every_bad_row_is_named_by_row_and_column(firm: Any) -> None:
    text = (
        "day,cause,cost,team,who,kit,place,words\n"
        "04.05.2026,F8,79,,,,,\n"
        '2026-05-04,F8,79,,,,,"two\nlines"\n'
        "2026-05-04,ghost,cheap,East,outsider@example.org,magic,,\n"
        "2027-01-01,,1,,,,,,,,\n"
    )
    sheet = sheet_of(firm, text)
    assert sheet.rows == ()
    assert sheet.faults == (
        Fault(2, "day", "Give the day like 2026-03-01."),
        Fault(5, "cause", "This is no cause of the list."),
        Fault(5, "cost", "Give the cost as a number, like 79, 79.50 or 1500, with no mark between thousands."),
        Fault(5, "team", "You lead no team of this name."),
        Fault(5, "who", "No operator of yours has this e-mail address. It may stay empty."),
        Fault(5, "kit", "There is no such kit; leave it empty or take one of the list."),
        Fault(6, "", "The row has more cells than the head."),
        Fault(6, "day", "The day is still to come."),
        Fault(6, "cause", "Say what it went with."),
    )


def test_somebody_of_another_team_reads_like_nobody(firm: Any) -> None:
    def told(who: str) -> list[str]:
        text = f"day,cause,cost,team,who\n2026-05-04,F8,1,,{who}\n"
        return [fault.words for fault in sheet_of(firm, text).faults]

    assert told("outsider@example.org") == told("nobody@example.org") == told("eastmanager@example.org")
    teams = [
        [fault.words for fault in sheet_of(firm, f"day,cause,cost,team\n2026-05-04,F8,1,{team}\n").faults]
        for team in ("East", "South", "No such team")
    ]
    assert teams[0] == teams[1] == teams[2] == ["You lead no team of this name."]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "This column is missing."),
        ("day,cause\n2026-05-04,F8\n", "This column is missing."),
        ("day,cause,cost,colour\n", "No such column."),
        ("day,cause,cost,cost\n", "twice"),
        ("day,cause,cost\n", "no row under the head"),
        ('day,cause,cost\n2026-05-04,F8,"79\n', "cannot be read"),
        ("day,cause,cost\n2026-05-04,F8,7\x009\n", "not text"),
        ("day,cause,cost\n" + "2026-05-04,F8,1\n" * (ROWS_MAX + 1), "more than 1000 rows"),
        ("day,cause,cost\n" + "x" * BYTES_MAX, "more than 192 KB"),
    ],
)
def test_a_file_that_is_none_is_refused_whole(text: str, words: str, firm: Any) -> None:
    sheet = sheet_of(firm, text)
    assert sheet.rows == ()
    assert words in sheet.faults[0].words


def test_a_file_that_is_no_text_or_too_large_is_not_read() -> None:
    with pytest.raises(EntryError, match="UTF-8"):
        decoded(b"day,cause\xff\n")
    with pytest.raises(EntryError, match="192 KB"):
        decoded(b"x" * (BYTES_MAX + 1))


def test_it_is_taken_in_once_for_a_firm(firm: Any) -> None:
    sheet = sheet_of(firm, GOOD)
    assert taken_in_before(sheet, firm.home) is None
    done = take_in(sheet, firm.home, by=firm.trainer, now=NOW)
    assert done.rows == Reshoot.objects.count() == 3
    assert taken_in_before(sheet, firm.home) == done
    with pytest.raises(EntryError, match="taken in before"):
        take_in(sheet, firm.home, by=firm.owner, now=NOW)
    assert Reshoot.objects.count() == 3
    away = firm.outsider.memberships.get().team
    text = "day,cause,cost\n2026-05-04,F8,1\n"
    take_in(sheet_of(firm, text), firm.home, by=firm.trainer, now=NOW)
    take_in(read(text, away, by=firm.away_owner, today=NOW.date()), away, by=firm.away_owner, now=NOW)
    assert Reshoot.objects.filter(firm=away.firm).count() == 1


def test_nothing_of_a_bad_file_or_for_a_foreign_team_is_entered(firm: Any) -> None:
    bad = sheet_of(firm, "day,cause,cost\n2026-05-04,F8,1\n2026-05-05,F8,dear\n")
    with pytest.raises(EntryError, match="nothing of it was entered"):
        take_in(bad, firm.home, by=firm.trainer, now=NOW)
    sheet = sheet_of(firm, GOOD)
    with pytest.raises(PermissionDenied):
        take_in(sheet, firm.home, by=firm.east_manager, now=NOW)
    assert not Reshoot.objects.exists()
    assert not ReshootImport.objects.exists()


def test_a_failure_in_the_middle_leaves_nothing(firm: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The row that the database refuses is the last one: the import and all rows before it go with it."""
    sheet = sheet_of(firm, GOOD)
    object.__setattr__(sheet.rows[-1], "cost", None)
    with pytest.raises(Exception, match=r"NOT NULL|not-null"):
        take_in(sheet, firm.home, by=firm.trainer, now=NOW)
    assert not Reshoot.objects.exists()
    assert not ReshootImport.objects.exists()


@settings(deadline=None)
@given(cell=st.text(st.characters(exclude_categories=["Cs"]), max_size=12))
def test_an_exported_cell_is_no_formula_and_comes_back_as_it_was(cell: str) -> None:
    assert not armed(cell).lstrip(" ").startswith(RISKY)
    assert disarmed(armed(cell)) == cell


def test_an_exported_file_can_be_taken_in_again(firm: Any) -> None:
    words = "=cmd|' /C calc'!A0"
    text = written([["2026-05-04", "Spin stopped short", "79.50", "North", "insider@example.org", "", "-flat", words]])
    cells = list(csv.reader(io.StringIO(text)))[1]
    assert cells[-1].startswith("'=")
    row = sheet_of(firm, text).rows[0]
    assert (row.words, row.place_type) == (words, "-flat")
    assert text.splitlines()[0] == ",".join(COLUMNS)
