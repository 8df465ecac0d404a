"""What to ask next in a check: the case whose answer should leave the least doubt whether somebody is at the cut.

    doubt = P (1 - P), P the chance of being at or above the cut
    told  = doubt now - doubt expected after one more answer

An answer on a skill moves the belief of that skill alone and the weights of the overall level, so that only
one row of the sum is made again for each possible answer.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scoring.mastery.ability import Belief, Mixture, expected, nodes
from scoring.mastery.grid import Array, posterior
from scoring.mastery.population import StandardSet


@dataclass(frozen=True, slots=True)
class Ask:
    """One recipe that could be asked."""

    recipe: str
    skill: str
    """The one it is mostly about."""
    difficulty_logit: float
    guess_floor: float
    skills: tuple[str, ...] = ()
    """Every skill it gives evidence on, the first one included."""


def told(belief: Belief, standard: StandardSet, asks: Sequence[Ask], *, on_day: float, cut: float) -> list[float]:
    """How much doubt one right-or-wrong answer to each of these is expected to take away, 0..0.25."""
    eta, prior, inner = nodes(belief.population)
    weights, given, _ = posterior(belief.loglik, prior, inner)
    score, spread, shares, order = expected(belief, standard, on_day)
    picked = np.ascontiguousarray(given[order])
    mean, second = _moments(picked, score, spread)
    variance = np.maximum(0.0, second - mean * mean)
    total, wide = shares @ mean, (shares * shares) @ variance
    chance = _chance(weights, total, wide, cut)
    places = {name: index for index, name in enumerate(standard.skills)}
    out = []
    for ask in asks:
        s = places[ask.skill]
        right = ask.guess_floor + (1.0 - ask.guess_floor) / (1.0 + np.exp(-(eta - ask.difficulty_logit)))
        after = 0.0
        for likely in (right, 1.0 - right):
            joint = picked[s] * likely
            mass = joint.sum(axis=1)
            whole = float(weights @ mass)
            first, squared = _moments(joint[None] / mass[None, :, None], score[s : s + 1], spread[s : s + 1])
            moved = total + shares[s] * (first[0] - mean[s])
            spread_out = wide + shares[s] ** 2 * (np.maximum(0.0, squared[0] - first[0] ** 2) - variance[s])
            p = _chance(weights * mass / whole, moved, np.maximum(0.0, spread_out), cut)
            after += whole * p * (1.0 - p)
        out.append(max(0.0, chance * (1.0 - chance) - after))
    return out


def _moments(given: Array, score: Array, spread: Array) -> tuple[Array, Array]:
    """First and second moment of each skill's score at each node of the overall level, (S, T) each."""
    return (given * score).sum(axis=2), (given * (score * score + spread)).sum(axis=2)


def _chance(weights: Array, mean: Array, variance: Array, cut: float) -> float:
    return 1.0 - Mixture(weights, mean, variance).below(cut / 100.0)


def to_ask(
    belief: Belief,
    standard: StandardSet,
    asks: Sequence[Ask],
    *,
    stars: Collection[str],
    asked: Sequence[str],
    on_day: float,
    cut: float,
    order: Mapping[str, float],
) -> list[Ask]:
    """These recipes in the order in which they should be asked next; ``asked`` names those asked before, in order.

    While a starred skill has no case yet, those with a case on one come first. A recipe comes again only when
    the others of its skill have come as often, and never twice running while there is another. ``order`` (0..1 by
    recipe) breaks ties.
    """
    told_by = dict(zip(asks, told(belief, standard, asks, on_day=on_day, cut=cut), strict=True))
    times = {ask.recipe: asked.count(ask.recipe) for ask in asks}
    least: dict[str, int] = {}
    for ask in asks:
        least[ask.skill] = min(least.get(ask.skill, times[ask.recipe]), times[ask.recipe])
    shown = {skill for ask in asks if times[ask.recipe] for skill in ask.skills}
    last = asked[-1] if asked else None
    last_skill = next((ask.skill for ask in asks if ask.recipe == last), None)

    def rank(ask: Ask) -> tuple[bool, bool, bool, bool, float, float]:
        covers = any(skill in stars and skill not in shown for skill in ask.skills)
        return (
            ask.recipe == last,
            not covers,
            times[ask.recipe] > least[ask.skill],
            ask.skill == last_skill,
            -round(told_by[ask], 9),
            order[ask.recipe],
        )

    return sorted(asks, key=rank)


__all__ = ["Ask", "to_ask", "told"]
