"""What to practise next: due before not due, weak stars before strong ones, mixed, and near four in five."""

from __future__ import annotations

from itertools import pairwise
from math import exp

import pytest

from scoring.mastery.ability import Figure
from scoring.mastery.selection import Offer, Pick, SkillState, fitting_difficulty, mixed, pick, worth

OFFERS = [Offer(f"{skill.lower()}-{n}", (skill,)) for skill in ("A2", "B1", "D2", "V3") for n in range(3)]


def state(chance: float = 0.9, overdue: float | None = -1.0, *, star: bool = True, wide: float = 20.0) -> SkillState:
    return SkillState(Figure(80.0, 80.0 - wide / 2, 80.0 + wide / 2, chance, 8), star, overdue)


def test_what_is_overdue_comes_before_what_is_not() -> None:
    assert worth(state(overdue=1.0))[0] > worth(state(overdue=0.0))[0] > worth(state(overdue=-1.0))[0]
    assert worth(state(overdue=1.0))[1] == "due"


def test_a_weak_star_comes_before_a_strong_one_and_before_a_weak_skill_without_a_star() -> None:
    assert worth(state(chance=0.2))[0] > worth(state(chance=0.9))[0]
    assert worth(state(chance=0.2))[0] > worth(state(chance=0.2, star=False))[0]
    assert worth(state(chance=0.1))[1] == "weak"


def test_a_set_takes_every_skill_once_before_any_twice_and_mixes_them() -> None:
    states = {"A2": state(overdue=2.0), "B1": state(overdue=None), "D2": state(chance=0.1), "V3": state(star=False)}
    chosen = pick(OFFERS, states, 8, seen={"a2-0": 3})
    assert sorted(one.skill for one in chosen[:4]) == ["A2", "B1", "D2", "V3"]
    assert len({one.recipe for one in chosen}) == 8
    assert all(one.skill != other.skill for one, other in pairwise(chosen))
    assert chosen[0].recipe != "a2-0"


def test_it_gives_what_there_is_when_that_is_little() -> None:
    assert pick([], {"A2": state()}, 6, seen={}) == []
    assert [one.recipe for one in pick(OFFERS[:2], {"A2": state()}, 6, seen={})] == ["a2-0", "a2-1"]


def test_mixing_keeps_every_pick() -> None:
    picks = [Pick(f"r{i}", skill, "due", 1.0) for i, skill in enumerate("AAAB")]
    assert sorted(one.recipe for one in mixed(picks)) == ["r0", "r1", "r2", "r3"]
    assert [one.skill for one in mixed(picks)][:3] == ["A", "B", "A"]


@pytest.mark.parametrize(("ability", "floor"), [(0.0, 0.0), (1.3, 0.2), (-0.7, 0.5)])
def test_the_fitting_difficulty_gives_four_in_five(ability: float, floor: float) -> None:
    b = fitting_difficulty(ability, floor)
    assert floor + (1 - floor) / (1 + exp(-(ability - b))) == pytest.approx(0.8)
    assert fitting_difficulty(ability, 0.85) == ability
