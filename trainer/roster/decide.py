"""Decide: a named person holds somebody, releases them, or sends them anyway until a day, with a reason that is kept.

The newest decision stands. Who decides names the decision that was shown; when another came in between, nothing is
entered, and whoever was second looks again.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import QuerySet

from trainer.people.access import Visitor, entered_for, of_present_firms, people_decided_by
from trainer.people.models import Person
from trainer.roster.entry import REASON_MIN, EntryError, again, in_turn, later_than, said
from trainer.roster.models import Decision

REASON_MAX = 500
SEND_DAYS_MAX = 90
"""Nobody is sent against the rule for longer than this without deciding again."""

What = Decision.What


class DecidedMeanwhile(EntryError):
    """Somebody else decided after the page was shown; the message is for people."""


def decisions_about(person: Person, visitor: Visitor) -> QuerySet[Decision]:
    """The decisions of the firms that the person works for, as far as the visitor may see them, oldest first."""
    rows = of_present_firms(entered_for(Decision.objects.filter(person=person), visitor))
    return rows.select_related("by").order_by("made_at", "pk")


def newest_decision(person: Person, visitor: Visitor) -> Decision | None:
    """The decision that came last, whatever it was."""
    return decisions_about(person, visitor).last()


def in_force(person: Person, visitor: Visitor, today: date) -> Decision | None:
    """The hold or the send that stands on a day; None when the rule's word counts."""
    return stands(decisions_about(person, visitor), today)


def stands(decisions: Iterable[Decision], today: date) -> Decision | None:
    """Which of somebody's decisions, oldest first, stands: the newest of each firm counts, a hold before a send."""
    newest = {decision.firm_id: decision for decision in decisions}
    standing = [
        one
        for one in newest.values()
        if one.what == What.HOLD or (one.what == What.SEND and one.until is not None and one.until >= today)
    ]
    return max(standing, key=lambda one: (one.what == What.HOLD, one.made_at), default=None)


def told(decision: Decision) -> str:
    """What was decided, in words that follow a name and a colon."""
    if decision.what == What.SEND:
        return f"may be sent until {decision.until:%-d %B %Y} all the same"
    return "held" if decision.what == What.HOLD else "released"


def open_choices(standing: Decision | None) -> tuple[What, ...]:
    """What can be decided next. A held person is released first, with its own reason, before anything else."""
    if standing is None:
        return (What.HOLD, What.SEND)
    return (What.RELEASE,) if standing.what == What.HOLD else (What.RELEASE, What.HOLD, What.SEND)


def decide(
    person: Person,
    *,
    by: Person,
    key: uuid.UUID,
    what: str,
    reason: str,
    until: date | None,
    seen: uuid.UUID | None,
    now: datetime,
) -> Decision:
    """Enter a decision; sent again with the same key, it gives the same entry again.

    ``seen`` is the newest decision that the page showed, None for none. Raises PermissionDenied, DecidedMeanwhile,
    EntryError with the reason, KeyTaken.
    """
    if not people_decided_by(by).filter(pk=person.pk).exists():
        raise PermissionDenied("Only a manager or owner decides, and never about oneself.")
    why = said(reason, least=REASON_MIN, most=REASON_MAX)
    with transaction.atomic():
        in_turn(person)
        if stored := again(Decision.objects.all(), key, {"person": person, "by": by}):
            return stored
        last = newest_decision(person, by)
        if last is not None and last.pk != seen:
            raise DecidedMeanwhile(
                f"{last.by or 'Somebody'} decided in the meantime: {told(last)}, “{last.reason}”. "
                "Look at it, then decide."
            )
        _check(what, until, in_force(person, by, now.date()), now.date())
        return Decision.objects.create(
            id=key,
            person=person,
            by=by,
            what=what,
            reason=why,
            until=until if what == What.SEND else None,
            made_at=later_than(last.made_at if last else None, now),
        )


def _check(what: str, until: date | None, standing: Decision | None, today: date) -> None:
    if what not in What.values:
        raise EntryError("Choose what you decide.")
    if what not in open_choices(standing):
        if standing is not None and standing.what == What.HOLD:
            raise EntryError("A hold stands. Release it first, with a reason.")
        raise EntryError("There is nothing to release: the rule’s word counts already.")
    if what != What.SEND:
        return
    if until is None:
        raise EntryError("Give the last day on which this holds.")
    if until < today:
        raise EntryError("That day is over.")
    if until > today + timedelta(days=SEND_DAYS_MAX):
        raise EntryError(f"At most {SEND_DAYS_MAX} days ahead; after that somebody decides again.")


__all__ = [
    "REASON_MAX", "SEND_DAYS_MAX", "DecidedMeanwhile", "decide", "decisions_about", "in_force", "newest_decision",
    "open_choices", "stands", "told",
]  # fmt: skip
