"""Ready, not ready, or not enough evidence: a posterior rule (how many more cases would settle it: see `ahead`)."""

from __future__ import annotations

from typing import Literal

Call = Literal["ready", "not ready", "not enough evidence"]


def call(chance: float, *, ready_at: float, not_ready_at: float) -> Call:
    """The call for a probability of being at or above the cut."""
    if chance >= ready_at:
        return "ready"
    return "not ready" if chance <= not_ready_at else "not enough evidence"


__all__ = ["Call", "call"]
