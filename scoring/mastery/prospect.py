"""What somebody may be expected to earn on a case of a given difficulty, and which difficulty would fit.

    credit(b) = floor + (1 - floor) * mean over the belief of 1 / (1 + exp(b - eta))

The mean is over the whole belief about the skill on that day, not at its middle: who is little known is expected
nearer to the middle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scoring.mastery import grid
from scoring.mastery.ability import Belief, nodes, retained
from scoring.mastery.grid import Array

EASIEST_LOGIT, HARDEST_LOGIT = -8.0, 8.0
HALVINGS = 40


@dataclass(frozen=True, slots=True)
class Prospect:
    """The belief about each skill on one day, ready to be asked about cases."""

    eta: dict[str, Array]
    """Ability at the nodes (N,) [logit], faded by the idle days of the skill."""
    weights: dict[str, Array]
    """Posterior weights of the nodes (N,)."""
    flat: dict[str, float]
    """How much the curve is flattened by what idle days leave open, 0..1."""

    def credit(self, skill: str, difficulty_logit: float, guess_floor: float) -> float:
        """Expected credit 0..1 on a case of a skill. Raises KeyError for a skill that the belief does not have."""
        p = 1.0 / (1.0 + np.exp(-(self.eta[skill] - difficulty_logit) * self.flat[skill]))
        return guess_floor + (1.0 - guess_floor) * float(self.weights[skill] @ p)

    def fitting_logit(self, skill: str, guess_floor: float, target: float) -> float:
        """The difficulty at which the expected credit on a skill is the target share [logit].

        A guessing floor at or above the target leaves nothing to aim for: then the hardest.
        """
        low, high = EASIEST_LOGIT, HARDEST_LOGIT
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.credit(skill, middle, guess_floor) > target else (low, middle)
        return 0.5 * (low + high)


def prospect(belief: Belief, *, on_day: float) -> Prospect:
    """What a belief says of every skill on a day."""
    eta, prior, inner = nodes(belief.population)
    weights, given, _ = grid.posterior(belief.loglik, prior, inner)
    population = belief.population
    etas, wide, flat = {}, {}, {}
    for s, skill in enumerate(belief.skills):
        last = belief.last_days[s]
        kept = 1.0 if last is None else retained(population, on_day - last)
        etas[skill] = (population.novice_logit + (eta - population.novice_logit) * kept).ravel()
        wide[skill] = (weights[:, None] * given[s]).ravel()
        added = (1.0 - kept * kept) * population.novice_sd_logit**2
        flat[skill] = float(1.0 / np.sqrt(1.0 + grid.BLUR * added))
    return Prospect(etas, wide, flat)


__all__ = ["Prospect", "prospect"]
