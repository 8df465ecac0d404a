"""Reshoots in a CSV file: read whole or refused whole, with every bad row named; and written again.

    file --read--> Sheet(rows, faults)     rows --written--> the same columns, cells neutralised

A spreadsheet runs a cell that begins with = + - @ as a formula. Such cells go out behind an apostrophe, which is taken
off again when the file comes back.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from trainer.people.access import operators_of, teams_led_by
from trainer.people.models import Person, Team
from trainer.roster.causes import cause_named
from trainer.roster.entry import EntryError, said
from trainer.roster.log_reshoot import WORDS_MAX, Told, check_day, cost_of, kit_named, kits_by_words, place_of

COLUMNS = ("day", "cause", "cost", "team", "who", "kit", "place", "words")
NEEDED = ("day", "cause", "cost")
BYTES_MAX = 192 * 1024
"""Some thousand rows; the preview sends them back in a form, which is bounded a little above that."""
ROWS_MAX = 1000
CELL_MAX = 1000
FAULTS_MAX = 200
"""So many faults are named; more are counted."""
RISKY = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""A text that begins with one of these, narrow or wide, is a formula to some spreadsheets."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong at one place: the row as a spreadsheet numbers it, and the column; 0 and "" for the whole file."""

    row: int
    column: str
    words: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file that was read: what it would enter, or what is wrong with it."""

    rows: tuple[Told, ...]
    faults: tuple[Fault, ...]
    digest: str
    text: str

    @property
    def sound(self) -> bool:
        """Whether it can be taken in."""
        return not self.faults


def decoded(data: bytes) -> str:
    """A file's text with plain line ends. Raises EntryError."""
    if len(data) > BYTES_MAX:
        raise EntryError(f"The file has more than {BYTES_MAX // 1024} KB. Part it.")
    try:
        return plain(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise EntryError("The file is not text in UTF-8. Save it as “CSV UTF-8”.") from None


def plain(text: str) -> str:
    """Text with plain line ends, as a form or a file brings it."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


def read(text: str, team: Team, *, by: Person, today: date) -> Sheet:
    """Read a file; rows without a team belong to ``team``, which ``by`` leads. Nothing is stored."""
    text = plain(text)
    digest = hashlib.sha256(text.encode()).hexdigest()
    if len(text.encode()) > BYTES_MAX:
        return Sheet((), (Fault(0, "", f"The file has more than {BYTES_MAX // 1024} KB. Part it."),), digest, "")
    if "\x00" in text:
        return Sheet((), (Fault(0, "", "The file is not text."),), digest, "")
    reading = _Reading(team, by, today)
    rows, faults = reading.all_of(text)
    return Sheet(() if faults else tuple(rows), tuple(faults), digest, text)


class _Reading:
    """What one reading knows: the teams, people and kits that may be named."""

    def __init__(self, team: Team, by: Person, today: date) -> None:
        led = teams_led_by(by).filter(firm=team.firm_id)
        self.team, self.today = team, today
        self.teams = {one.name.casefold(): one for one in led.select_related("firm")}
        self.people = {one.email: one for one in operators_of(led)}
        self.kits = kits_by_words(by)

    def all_of(self, text: str) -> tuple[list[Told], list[Fault]]:
        """Rows and faults, each with its row number."""
        first = text.split("\n", 1)[0]
        mark = ";" if first.count(";") > first.count(",") else ","
        lines = csv.reader(io.StringIO(text), delimiter=mark, strict=True)
        rows: list[Told] = []
        faults: list[Fault] = []
        try:
            head = [cell.strip().casefold() for cell in next(lines, [])]
            faults += _head_faults(head)
            if faults:
                return [], faults
            begun = lines.line_num + 1
            for cells in lines:
                if any(cell.strip() for cell in cells):
                    row, wrong = self._row(dict(zip(head, cells, strict=False)), begun, len(cells) > len(head))
                    rows += [row] if row else []
                    faults += wrong
                begun = lines.line_num + 1
                if len(rows) > ROWS_MAX or len(faults) > FAULTS_MAX:
                    break
        except csv.Error as error:
            faults.append(Fault(lines.line_num, "", f"The row cannot be read: {error}."))
        if len(rows) > ROWS_MAX:
            faults.append(Fault(0, "", f"There are more than {ROWS_MAX} rows. Part the file."))
        if not rows and not faults:
            faults.append(Fault(0, "", "There is no row under the head."))
        return rows, faults

    def _row(self, cells: dict[str, str], number: int, more: bool) -> tuple[Told | None, list[Fault]]:
        found: dict[str, object] = {}
        faults = [Fault(number, "", "The row has more cells than the head.")] if more else []
        for column in COLUMNS:
            text = disarmed(cells.get(column, "") or "")
            try:
                if len(text) > CELL_MAX:
                    raise EntryError(f"The cell has more than {CELL_MAX} letters.")
                found[column] = getattr(self, f"_{column}")(text.strip())
            except EntryError as error:
                faults.append(Fault(number, column, str(error)))
        if faults:
            return None, faults
        return Told(
            team=found["team"], person=found["who"], shot_on=found["day"], cause=found["cause"], cost=found["cost"],  # type: ignore[arg-type]
            kit=found["kit"], place_type=found["place"], words=found["words"],  # type: ignore[arg-type]
        ), []  # fmt: skip

    def _day(self, text: str) -> date:
        try:
            day = date.fromisoformat(text)
        except ValueError:
            raise EntryError("Give the day like 2026-03-01.") from None
        check_day(day, self.today)
        return day

    def _cause(self, text: str) -> str:
        code = cause_named(text)
        if code is None:
            raise EntryError("This is no cause of the list." if text else "Say what it went with.")
        return code

    def _cost(self, text: str) -> object:
        return cost_of(text)

    def _team(self, text: str) -> Team:
        if not text:
            return self.team
        if text.casefold() not in self.teams:
            raise EntryError("You lead no team of this name.")
        return self.teams[text.casefold()]

    def _who(self, text: str) -> Person | None:
        if not text:
            return None
        if text.lower() not in self.people:
            raise EntryError("No operator of yours has this e-mail address. It may stay empty.")
        return self.people[text.lower()]

    def _kit(self, text: str) -> str:
        return kit_named(text, self.kits)

    def _place(self, text: str) -> str:
        return place_of(text)

    def _words(self, text: str) -> str:
        return said(text, most=WORDS_MAX)


def _head_faults(head: list[str]) -> list[Fault]:
    missing = [column for column in NEEDED if column not in head]
    strange = [column for column in head if column and column not in COLUMNS]
    twice = sorted({column for column in head if column and head.count(column) > 1})
    faults = [Fault(1, column, "This column is missing.") for column in missing]
    faults += [Fault(1, column[:40], f"No such column. There are: {', '.join(COLUMNS)}.") for column in strange]
    return faults + [Fault(1, column, "This column stands there twice.") for column in twice]


def armed(cell: str) -> str:
    """A cell that a spreadsheet does not run."""
    return f"'{cell}" if cell.lstrip(" ").startswith((*RISKY, "'")) else cell


def disarmed(cell: str) -> str:
    """The cell as it was before `armed`."""
    return cell[1:] if cell.startswith("'") and cell[1:].lstrip(" ").startswith((*RISKY, "'")) else cell


def written(rows: Iterable[Sequence[str]], head: Sequence[str] = COLUMNS) -> str:
    """Rows under a head, every cell neutralised."""
    out = io.StringIO()
    lines = csv.writer(out)
    lines.writerow(head)
    lines.writerows([armed(cell) for cell in row] for row in rows)
    return out.getvalue()


__all__ = [
    "BYTES_MAX", "COLUMNS", "ROWS_MAX", "Fault", "Sheet", "armed", "decoded", "disarmed", "plain", "read", "written",
]  # fmt: skip
