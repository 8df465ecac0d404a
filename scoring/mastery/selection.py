"""What to practise next: what is due, what is weak where it matters, and what would tell most, in a mixed order.

    worth = due + weak + telling            each 0..1, weighted
    due      how far past its day a skill is, on the scale of its own interval
    weak     for starred skills, the chance of not being at the cut
    telling  how much one more answer would narrow the skill's figure

Skills that look alike are better learnt mixed than in blocks (Brunmair and Richter 2019, abstract), so no two
neighbours of a set practise the same skill while there is another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import Literal

from scoring.mastery.ability import Figure

Reason = Literal["due", "weak", "telling", "new"]

WEIGHTS = {"due": 1.0, "weak": 0.8, "telling": 0.5}
NEW_WORTH = 0.9
"""A skill never practised yet: as pressing as one that is nearly due."""
STAR_MORE = 1.25
TARGET_SHARE = 0.8
"""Expected success that keeps practice neither dull nor hopeless; common practice, no source."""
SPREAD_WIDEST = 60.0
"""An interval this wide (in points) tells next to nothing."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One recipe that could be practised."""

    recipe: str
    skills: tuple[str, ...]
    """The one it practises most comes first."""


@dataclass(frozen=True, slots=True)
class SkillState:
    """What is known of one skill of one person, today."""

    figure: Figure
    star: bool
    overdue_share: float | None
    """Days past its day over its interval (0: due today, 1: a whole interval late); None when never practised."""


@dataclass(frozen=True, slots=True)
class Pick:
    """One drill of a set, and why."""

    recipe: str
    skill: str
    reason: Reason
    worth: float


def worth(state: SkillState) -> tuple[float, Reason]:
    """How much practising a skill today is worth, and what speaks for it most."""
    if state.overdue_share is None:
        value, reason = NEW_WORTH, "new"
    else:
        parts = {
            "due": WEIGHTS["due"] * _due(state.overdue_share),
            "weak": WEIGHTS["weak"] * (1.0 - state.figure.chance) * float(state.star),
            "telling": WEIGHTS["telling"] * min(1.0, (state.figure.high - state.figure.low) / SPREAD_WIDEST),
        }
        reason = max(parts, key=parts.__getitem__)
        value = sum(parts.values())
    return value * (STAR_MORE if state.star else 1.0), reason  # type: ignore[return-value]


def _due(overdue_share: float) -> float:
    """0 well before its day, a half on it, near 1 a whole interval late."""
    return 1.0 / (1.0 + exp(-4.0 * overdue_share))


def pick(
    offers: Sequence[Offer], states: Mapping[str, SkillState], count: int, *, seen: Mapping[str, int]
) -> list[Pick]:
    """Up to ``count`` drills, most worth first, each skill once before any comes twice, neighbours mixed.

    ``seen`` counts how often each recipe was done: of two that practise a skill alike, the less seen comes first.
    """
    rated = sorted(((*worth(states[skill]), skill) for skill in states), key=lambda row: (-row[0], row[2]))
    chosen: list[Pick] = []
    used: set[str] = set()
    while len(chosen) < count:
        before = len(chosen)
        for value, reason, skill in rated:
            fit = [offer for offer in offers if skill in offer.skills and offer.recipe not in used]
            if not fit or len(chosen) == count:
                continue
            best = min(fit, key=lambda offer: (offer.skills.index(skill), seen.get(offer.recipe, 0), offer.recipe))
            used.add(best.recipe)
            chosen.append(Pick(best.recipe, skill, reason, value))
        if len(chosen) == before:
            break
    return mixed(chosen)


def mixed(picks: Sequence[Pick]) -> list[Pick]:
    """The same picks with no two neighbours of one skill where it can be helped, the most worth first."""
    left = list(picks)
    out: list[Pick] = []
    while left:
        last = out[-1].skill if out else None
        index = next((i for i, one in enumerate(left) if one.skill != last), 0)
        out.append(left.pop(index))
    return out


def fitting_difficulty(ability_logit: float, guess_floor: float, *, target: float = TARGET_SHARE) -> float:
    """The difficulty at which somebody's expected credit is the target share [logit].

    A guessing floor at or above the target leaves nothing to aim for: then the ability itself.
    """
    share = (target - guess_floor) / (1.0 - guess_floor)
    if not 0.0 < share < 1.0:
        return ability_logit
    return ability_logit - log(share / (1.0 - share))


__all__ = ["TARGET_SHARE", "Offer", "Pick", "Reason", "SkillState", "fitting_difficulty", "mixed", "pick", "worth"]
