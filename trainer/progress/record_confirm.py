"""Confirm a readiness record by its code, for whoever holds it, without an account.

no such code (however it is written)   unknown, and nothing else
revoked, or past its last day          that, and nothing of what it said
stands                                 what it said on its day, and what is true today
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

from trainer.progress.models import ReadinessRecord
from trainer.progress.record_make import CODE_CHARS, LETTERS
from trainer.progress.record_says import sheet_of, today_words
from trainer.progress.standings import now_of

Status = Literal["stands", "revoked", "expired"]
NOBODYS = "-" * CODE_CHARS
"""No record has this code; what cannot be a code is looked up as it, so that every wrong code takes the same way."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """What a code stands for, as it may be told to whoever has it."""

    record: ReadinessRecord
    status: Status
    sheet: dict[str, Any] | None
    """What it says; None unless it stands."""
    today: str
    """What is true today, in words; empty unless it stands."""
    same: bool
    """Whether today's state is the one it says."""


def status_of(record: ReadinessRecord, today: date) -> Status:
    """Whether a record stands on a day."""
    if record.revoked_at is not None:
        return "revoked"
    return "stands" if today <= record.expires_on else "expired"


def code_of(text: str) -> str:
    """A typed code without spaces and dashes, in capitals; `NOBODYS` for what can be none."""
    code = "".join(text.split()).replace("-", "").upper()
    return code if len(code) == CODE_CHARS and set(code) <= set(LETTERS) else NOBODYS


def confirm(text: str, now: datetime) -> Confirmed | None:
    """What a typed code stands for; None when no record has it."""
    record = ReadinessRecord.objects.select_related("person").filter(code=code_of(text)).first()
    if record is None:
        return None
    status = status_of(record, now.date())
    if status != "stands":
        return Confirmed(record, status, None, "", False)
    standing = now_of(record.person, now)
    return Confirmed(
        record,
        status,
        sheet_of(record.body),
        today_words(record.body, standing),
        record.body["state"] == standing.state,
    )


__all__ = ["NOBODYS", "Confirmed", "Status", "code_of", "confirm", "status_of"]
