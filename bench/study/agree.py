"""The same answers told by the study's compiled loop and by the shipped functions."""

from __future__ import annotations

from dataclasses import dataclass

from bench.study.simulate import CUT, KNOWN_TO, REGRESSED, World, run, standard_cases
from scoring.mastery.ability import Answered, believe, figures, overall_chance
from scoring.mastery.decision import call
from scoring.mastery.population import StandardSet


@dataclass(frozen=True, slots=True)
class Agreement:
    """What the shipped functions say of the answers of simulated operators, against the loop."""

    calls: int
    """Decisions to go on or to stop, one after every drill from the least number on."""
    other_calls: int
    """Those of them that the shipped functions decide in another way."""
    chance_gap: float
    """Largest difference of a chance of being at the cut, overall or of a skill."""
    bound_gap: float
    """Largest difference of a bound of an interval, 0..1."""


def agreement(world: World, *, seed: int, count: int, least: int, most: int, ready_at: float) -> Agreement:
    """Tell the answers of some simulated operators again by the shipped functions."""
    rows = run(
        world, seed=seed, count=count, least=least, most=most, ready_at=ready_at, choose_of=3, remember=True
    )  # fmt: skip
    skills = tuple(f"{group}{number}" for group in "ABCD" for number in range(1, 7))
    standard = StandardSet(
        format="levelhead-standard-set",
        version="study",
        title="The study's standard set",
        cases=tuple(case for skill in skills for case in standard_cases(skill, world)),
    )
    calls = other = 0
    chances, bounds = [0.0], [0.0]
    known_to = REGRESSED**0.5 * KNOWN_TO
    for person in range(count):
        drills = int(rows.drills[person])
        answers = [
            Answered(skills[int(skill)], credit, difficulty, known_to, world.guess, 0.0)
            for skill, credit, difficulty in rows.answers[person, :drills]
        ]
        for done in range(least, drills + 1):
            belief = believe(answers[:done], world.believed, skills)
            chance = overall_chance(belief, standard, on_day=0.0, cut=100.0 * CUT)
            stops = call(chance, ready_at=ready_at, not_ready_at=1.0 - ready_at) != "not enough evidence"
            calls += 1
            other += (stops or done == most) != (done == drills)
        found = figures(
            believe(answers, world.believed, skills), standard, on_day=world.idle_days, cut=100.0 * CUT
        )  # fmt: skip
        told = [(found.overall, rows.chance[person], rows.low[person], rows.high[person])] + [
            (found.skills[skill], rows.skill_chance[person, k], rows.skill_low[person, k], rows.skill_high[person, k])
            for k, skill in enumerate(skills)
        ]
        for figure, chance, low, high in told:
            chances.append(abs(figure.chance - chance))
            bounds += [abs(figure.low / 100.0 - low), abs(figure.high / 100.0 - high)]
    return Agreement(calls, other, float(max(chances)), float(max(bounds)))


__all__ = ["Agreement", "agreement"]
