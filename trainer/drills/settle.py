"""Settle a flag: the case stands, or it counts for nobody of the firm any more.

A void case is voided attempt by attempt, so every record follows by the ledger, and it is not issued again to
anybody of the firm. Other firms keep it: for them the fault is in a report to whoever keeps the recipe.
"""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction

from trainer.drills.ledger import enter
from trainer.drills.models import Attempt, CaseVoid, Entry, Flag, FlagReply, Void
from trainer.drills.reading import flags_for
from trainer.people.access import firm_between, firms_of, lasting
from trainer.people.models import Firm, Person, Role

REASON_MAX = 300


class AlreadySettled(Exception):
    """Somebody settled this flag before; the first word stands."""


def let_stand(flag: Flag, *, by: Person, words: str, now: datetime) -> FlagReply:
    """Say why the case stands. Raises PermissionDenied, ValueError without words, AlreadySettled."""
    return _reply(flag, by, True, words, now)


def void_case(flag: Flag, *, by: Person, reason: str, now: datetime) -> CaseVoid:
    """Void the flagged case for everybody of the firm. Raises PermissionDenied, ValueError, AlreadySettled."""
    attempt = flag.attempt
    with transaction.atomic():
        _reply(flag, by, False, reason, now)
        firm = firm_of_flag(flag, by)
        made, _ = CaseVoid.objects.get_or_create(
            firm=firm,
            fingerprint=attempt.fingerprint,
            defaults={
                "recipe": attempt.recipe, "by": by, "reason": reason.strip()[:REASON_MAX], "made_at": now,
            },
        )  # fmt: skip
        people = lasting().filter(team__firm=firm).values("person")
        same = Attempt.objects.filter(recipe=attempt.recipe, fingerprint=attempt.fingerprint, person__in=people)
        for one in same.filter(void__isnull=True).order_by("issued_at", "pk"):
            Void.objects.create(attempt=one, by=by, reason=made.reason, made_at=now)
            enter(Entry.What.VOID, one, now)
    return made


def firm_of_flag(flag: Flag, by: Person) -> Firm:
    """The firm in which whoever settles trains the one who flagged; that both work for another one too says nothing."""
    return Firm.objects.get(pk=firm_between(flag.person_id, by.pk, (Role.TRAINER,)))  # type: ignore[misc, arg-type]


def void_fingerprints(person: Person) -> set[str]:
    """Cases that count for nobody in the firms of a person."""
    return set(CaseVoid.objects.filter(firm__in=firms_of(person)).values_list("fingerprint", flat=True))


def _reply(flag: Flag, by: Person, stands: bool, words: str, now: datetime) -> FlagReply:
    if not words.strip():
        raise ValueError("Say why.")
    if not flags_for(by).filter(pk=flag.pk).exists():
        raise PermissionDenied("Only a trainer of the operator's team may settle a flag.")
    try:
        with transaction.atomic():
            return FlagReply.objects.create(
                flag=flag, firm=firm_of_flag(flag, by), by=by, stands=stands, words=words.strip()[:1000], made_at=now
            )
    except IntegrityError:
        raise AlreadySettled("This flag was settled before.") from None


__all__ = ["AlreadySettled", "firm_of_flag", "let_stand", "void_case", "void_fingerprints"]
