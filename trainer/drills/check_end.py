"""End a check: only now do its answers enter the ledger's order, so that nothing of them could be read before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from trainer.drills.check_case import CheckOver, answered_cases, lock
from trainer.drills.ledger import enter
from trainer.drills.models import Check, CheckEnd, Entry


@dataclass(frozen=True, slots=True)
class CheckFigures:
    """What the answers of a check come to: expected score 0..100 with its 90 % interval, chance of being at the cut."""

    score: float
    low: float
    high: float
    chance: float
    count: int
    """Answered cases."""


def end_check(check: Check, outcome: str, found: CheckFigures, now: datetime) -> CheckEnd:
    """End a check with an outcome; ended before, it keeps its first end. What was answered counts either way."""
    with transaction.atomic():
        try:
            lock(check)
        except CheckOver:
            return CheckEnd.objects.get(readiness_check=check)
        end = CheckEnd.objects.create(
            readiness_check=check,
            outcome=outcome,
            chance=found.chance,
            score=found.score,
            low=found.low,
            high=found.high,
            count=found.count,
            ended_at=now,
        )
        for attempt in answered_cases(check):
            enter(Entry.What.GRADE, attempt, now)
    return end


__all__ = ["CheckFigures", "end_check"]
