"""When a skill is best practised again: the memory model of the `fsrs` library, folded answer by answer.

It only spaces practice; who is ready is told by the ability model. One answer on a skill is one review of it, and the
credit says how it went (``HELD_FROM``, ``SHAKY_FROM``). Days are not blurred, so that a rebuild gives the same days.

Source: the library's own default parameters (FSRS-6), pinned with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from fsrs import Card, Rating, Scheduler, State

SHAKY_FROM = 0.5
"""Credit below this is a lapse ..."""
HELD_FROM = 0.8
"""... from here on the skill held; between them it held with difficulty. Settings, no source."""
SPACING = Scheduler(enable_fuzzing=False, learning_steps=(), relearning_steps=())
FIRST_INTERVAL_LEAST_S = 3600.0


@dataclass(frozen=True, slots=True)
class Spaced:
    """How well one skill of one person is remembered, and when it is due."""

    stability_days: float
    """After so many idle days nine in ten would still hold."""
    hardness: float
    """1 easy .. 10 hard for this person."""
    last_at: datetime
    due_at: datetime

    def overdue_share(self, now: datetime) -> float:
        """Time past the due day over the interval: 0 due now, 1 a whole interval late, below 0 before it."""
        interval_s = max(FIRST_INTERVAL_LEAST_S, (self.due_at - self.last_at).total_seconds())
        return (now - self.due_at).total_seconds() / interval_s


def reviewed(before: Spaced | None, credit: float, at: datetime) -> Spaced:
    """After one more answer on the skill."""
    card = Card(card_id=1)
    if before is not None:
        at = max(at, before.last_at)
        card = Card(1, State.Review, None, before.stability_days, before.hardness, before.due_at, before.last_at)
    card, _ = SPACING.review_card(card, _went(credit), at)
    if card.stability is None or card.difficulty is None:
        raise AssertionError("the library always sets both on a review")
    return Spaced(card.stability, card.difficulty, at, card.due)


def _went(credit: float) -> Rating:
    if credit < SHAKY_FROM:
        return Rating.Again
    return Rating.Good if credit >= HELD_FROM else Rating.Hard


__all__ = ["HELD_FROM", "SHAKY_FROM", "Spaced", "reviewed"]
