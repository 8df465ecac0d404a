"""The cases of a check, one after the other: at most one of them is open."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from trainer.drills.issue import issue
from trainer.drills.models import Attempt, Check, CheckCase


class CheckOver(Exception):
    """The check has ended; it gives no more cases and takes no more answers."""


def lock(check: Check) -> None:
    """Hold the check for the rest of the transaction. Raises CheckOver when it has ended."""
    held = Check.objects.select_for_update().get(pk=check.pk)
    if hasattr(held, "end"):
        raise CheckOver("This check is over.")


def open_case_of(check: Check) -> Attempt | None:
    """The case of a check that waits for its answer; None when there is none."""
    waits = Attempt.objects.filter(check_case__readiness_check=check, answer__isnull=True, void__isnull=True)
    return waits.order_by("check_case__place").first()


def answered_cases(check: Check) -> list[Attempt]:
    """The answered cases of a check that were not taken out since, in their order, with their grades."""
    cases = Attempt.objects.filter(check_case__readiness_check=check, answer__isnull=False, void__isnull=True)
    return list(cases.select_related("answer__grade", "check_case").order_by("check_case__place"))


def give_case(check: Check, recipe: str, now: datetime, near_logit: float | None = None) -> Attempt:
    """Give the next case, of that recipe and as near to a difficulty as there is one; while one is open, that one.

    Raises CheckOver, NotOnShelf, NotReady as `issue` does.
    """
    with transaction.atomic():
        lock(check)
        waiting = open_case_of(check)
        if waiting is not None:
            return waiting
        attempt = issue(check.person, recipe, Attempt.Mode.CHECK, now, near_logit=near_logit).attempt
        CheckCase.objects.create(readiness_check=check, attempt=attempt, place=check.cases.count() + 1)
        return attempt


__all__ = ["CheckOver", "answered_cases", "give_case", "lock", "open_case_of"]
