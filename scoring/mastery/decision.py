"""Ready, not ready, or not enough evidence: a posterior rule that says how many more cases would settle it."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from scoring.mastery.ability import Belief, figures, nodes
from scoring.mastery.grid import add_answer
from scoring.mastery.population import StandardSet

Call = Literal["ready", "not ready", "not enough evidence"]

MORE_MOST = 40
"""Beyond so many more cases nothing is promised."""


def call(chance: float, *, ready_at: float, not_ready_at: float) -> Call:
    """The call for a probability of being at or above the cut."""
    if chance >= ready_at:
        return "ready"
    return "not ready" if chance <= not_ready_at else "not enough evidence"


def more_cases(
    belief: Belief,
    standard: StandardSet,
    skill: str,
    *,
    on_day: float,
    cut: float,
    ready_at: float,
    not_ready_at: float,
) -> int | None:
    """How many more cases on a skill would settle it, if they go as they are expected to; None when none would.

    Each added case has the difficulty at which the expected credit is the person's own expected score.
    """
    only = StandardSet(
        format=standard.format,
        version=standard.version,
        title=standard.title,
        cases=tuple(c for c in standard.cases if c.skill == skill),
    )
    place = belief.skills.index(skill)
    eta, _, _ = nodes(belief.population)
    typical = sum(c.weight * c.difficulty_logit for c in only.cases) / sum(c.weight for c in only.cases)
    floor = sum(c.weight * c.guess_floor for c in only.cases) / sum(c.weight for c in only.cases)
    now = figures(belief, only, on_day=on_day, cut=cut).overall
    said = call(now.chance, ready_at=ready_at, not_ready_at=not_ready_at)
    loglik = belief.loglik.copy()
    last = list(belief.last_days)
    last[place] = on_day
    for added in range(MORE_MOST + 1):
        if said != "not enough evidence":
            return added
        add_answer(loglik[place], eta, now.score / 100.0, 1.0, typical, 0.0, floor)
        trial = replace(belief, loglik=loglik, last_days=tuple(last))
        chance = figures(trial, only, on_day=on_day, cut=cut).overall.chance
        said = call(chance, ready_at=ready_at, not_ready_at=not_ready_at)
    return None


__all__ = ["MORE_MOST", "Call", "call", "more_cases"]
