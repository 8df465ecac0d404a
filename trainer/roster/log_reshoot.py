"""Log: somebody who leads a team enters a real reshoot with what it went with and what it cost."""

from __future__ import annotations

import re
import uuid
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.core.exceptions import PermissionDenied

from trainer.library.own import kits_for
from trainer.people.access import operators_of, teams_led_by
from trainer.people.models import Person, Team
from trainer.roster.causes import causes
from trainer.roster.entry import EntryError, once, said
from trainer.roster.models import Reshoot

COST_MOST = Decimal("9999999.99")
COST = re.compile(r"[0-9]{1,12}([.,][0-9]{1,2})?")
PLACE_MAX = 40
WORDS_MAX = 300
OLDEST_DAYS = 5 * 365
AHEAD_DAYS = 1
"""A phone's day may be ahead of the server's."""
PLACE_TYPES = (
    "studio", "flat", "house on one floor", "house on several floors", "large house", "outside only",
)  # fmt: skip
"""What a form proposes; other words are taken too."""


@dataclass(frozen=True, slots=True)
class Told:
    """A reshoot as it was entered, checked."""

    team: Team
    person: Person | None
    shot_on: date
    cause: str
    cost: Decimal
    kit: str
    place_type: str
    words: str


def log_reshoot(told: Told, *, by: Person, key: uuid.UUID, now: datetime) -> Reshoot:
    """Enter a reshoot; sent again with the same key, it gives the same entry again.

    Raises PermissionDenied for a team that ``by`` does not lead or a person who is none of its operators, EntryError
    with the reason, KeyTaken.
    """
    refuse_foreign(told, by)
    check(told, now.date())
    fields = {
        "team": told.team, "person": told.person, "shot_on": told.shot_on, "cause": told.cause, "cost": told.cost,
        "kit": told.kit, "place_type": told.place_type, "words": told.words, "made_at": now,
    }  # fmt: skip
    return once(Reshoot.objects.all(), {"pk": key}, {"firm": told.team.firm, "by": by}, fields)


def refuse_foreign(told: Told, by: Person) -> None:
    """Raises PermissionDenied unless ``by`` leads the team, and the person works in a team that ``by`` leads."""
    led = teams_led_by(by).filter(firm=told.team.firm_id)
    if not led.filter(pk=told.team.pk).exists():
        raise PermissionDenied("Only who leads the team logs its reshoots.")
    if told.person is not None and not operators_of(led).filter(pk=told.person.pk).exists():
        raise PermissionDenied("Only an operator of a team that one leads is named.")


def check(told: Told, today: date) -> None:
    """Raises EntryError for what cannot be so."""
    check_day(told.shot_on, today)
    if told.cause not in causes():
        raise EntryError("Choose what it went with from the list.")
    if not Decimal(0) <= told.cost <= COST_MOST:
        raise EntryError(f"The cost must lie between 0 and {COST_MOST}.")


def check_day(shot_on: date, today: date) -> None:
    """Raises EntryError for a day to come or one that is long gone."""
    if shot_on > today + timedelta(days=AHEAD_DAYS):
        raise EntryError("The day is still to come.")
    if shot_on < today - timedelta(days=OLDEST_DAYS):
        raise EntryError(f"The day is more than {OLDEST_DAYS // 365} years ago.")


def cost_of(text: str) -> Decimal:
    """A cost as it is typed, with a point or a comma before the hundredths. Raises EntryError.

    Three digits after a mark are refused: nobody can tell whether "1,500" is one and a half or fifteen hundred.
    """
    typed = text.strip().replace("\u00a0", "").replace(" ", "")
    if not COST.fullmatch(typed):
        raise EntryError("Give the cost as a number, like 79, 79.50 or 1500, with no mark between thousands.")
    cost = Decimal(typed.replace(",", "."))
    if cost > COST_MOST:
        raise EntryError(f"The cost must lie between 0 and {COST_MOST}.")
    return cost.quantize(Decimal("0.01"))


def kit_named(text: str, kits: dict[str, str]) -> str:
    """The name of a kit given by title or name; "" for none. ``kits`` is from `kits_by_words`. Raises EntryError."""
    typed = " ".join(text.split()).casefold()
    if typed and typed not in kits:
        raise EntryError("There is no such kit; leave it empty or take one of the list.")
    return kits[typed] if typed else ""


def kits_by_words(by: Person) -> dict[str, str]:
    """Names of the kits that ``by`` may work with, by name and by title, in small letters."""
    kits = kits_for(by)
    return {kit.title.casefold(): kit.name for kit in kits} | {kit.name.casefold(): kit.name for kit in kits}


def place_of(text: str) -> str:
    """A type of place without the blanks round it. Raises EntryError."""
    return said(text, most=PLACE_MAX)


__all__ = [
    "COST_MOST", "PLACE_MAX", "PLACE_TYPES", "WORDS_MAX", "Told", "check", "check_day", "cost_of", "kit_named",
    "kits_by_words", "log_reshoot", "place_of", "refuse_foreign",
]  # fmt: skip
