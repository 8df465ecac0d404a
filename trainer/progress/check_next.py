"""A check goes on: the next case, or its end when the decision is safe, cannot be made, or the check is given up."""

from __future__ import annotations

from datetime import datetime, timedelta
from hashlib import sha256
from math import log

from scoring.mastery.asking import to_ask
from trainer.drills.check_case import give_case, open_case_of
from trainer.drills.check_end import end_check
from trainer.drills.check_open import OPEN_DAYS, open_check
from trainer.drills.issue import NotReady
from trainer.drills.models import Attempt, Check, CheckEnd
from trainer.library.rules import rules_for
from trainer.people.models import Person
from trainer.progress.check_decide import can_be_asked, decided, starred
from trainer.progress.standing import standard_set


def begin_check(person: Person, now: datetime) -> Check:
    """Open a check by the rule that the person is judged by that day, or give back the open one. Raises TooSoon."""
    rule = rules_for(Person.objects.filter(pk=person.pk), now.date())[person.pk]
    return open_check(person, rule.version, now)


def go_on(check: Check, now: datetime) -> Attempt | CheckEnd:
    """The case that is open, the next one, or the end. Raises NotReady when no case is stored yet, CheckOver."""
    waiting = open_case_of(check)
    if waiting is not None:
        return waiting
    asks = can_be_asked()
    found = decided(check, asks)
    if found.outcome is not None:
        return end_check(check, found.outcome, found.told, now)
    ordered = to_ask(
        found.belief,
        standard_set(),
        asks,
        stars=starred(),
        asked=[case.recipe for case in found.cases],
        on_day=found.day,
        cut=found.rule.cut_points,
        order={ask.recipe: _drawn(check, ask.recipe) for ask in asks},
    )
    share = min(0.99, max(0.01, found.rule.cut_points / 100.0))
    # Somebody just at the cut gets such a case right every other time, so its answer tells most.
    at_the_cut = log(share / (1.0 - share))
    wait = NotReady("A new case is being made. Try again in a moment.")
    for ask in ordered:
        try:
            return give_case(check, ask.recipe, now, at_the_cut)
        except NotReady as not_yet:
            wait = not_yet
    raise wait


def give_up(check: Check, now: datetime) -> CheckEnd:
    """End a check by the person's own will; what was answered counts, as any answer does."""
    return end_check(check, CheckEnd.Outcome.GIVEN_UP, decided(check, ()).told, now)


def end_if_overdue(check: Check, now: datetime) -> bool:
    """End a check that was left open too long; says whether it is over."""
    if now < check.opened_at + timedelta(days=OPEN_DAYS):
        return False
    give_up(check, now)
    return True


def end_overdue(now: datetime) -> int:
    """End every check that was left open too long, whether or not its person comes back; how many there were."""
    left = Check.objects.filter(end__isnull=True, opened_at__lte=now - timedelta(days=OPEN_DAYS))
    return sum(end_if_overdue(check, now) for check in left.order_by("opened_at"))


def _drawn(check: Check, recipe: str) -> float:
    """A number 0..1 that differs from check to check, so that not every check begins alike."""
    return int.from_bytes(sha256(f"{check.pk}/{recipe}".encode()).digest()[:6]) / 2**48


__all__ = ["begin_check", "end_if_overdue", "end_overdue", "give_up", "go_on"]
