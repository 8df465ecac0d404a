"""What practising a skill is worth: due before not due, weak stars before strong ones."""

from __future__ import annotations

from scoring.mastery.ability import Figure
from scoring.mastery.selection import SkillState, worth


def state(chance: float = 0.9, overdue: float | None = -1.0, *, star: bool = True, wide: float = 20.0) -> SkillState:
    return SkillState(Figure(80.0, 80.0 - wide / 2, 80.0 + wide / 2, chance, 8), star, overdue)


def test_what_is_overdue_comes_before_what_is_not() -> None:
    assert worth(state(overdue=1.0))[0] > worth(state(overdue=0.0))[0] > worth(state(overdue=-1.0))[0]
    assert worth(state(overdue=1.0))[1] == "due"


def test_a_weak_star_comes_before_a_strong_one_and_before_a_weak_skill_without_a_star() -> None:
    assert worth(state(chance=0.2))[0] > worth(state(chance=0.9))[0]
    assert worth(state(chance=0.2))[0] > worth(state(chance=0.2, star=False))[0]
    assert worth(state(chance=0.1))[1] == "weak"


def test_a_skill_never_practised_is_as_pressing_as_one_that_is_nearly_due() -> None:
    assert worth(state(overdue=None, star=False)) == (0.9, "new")


def test_a_wide_interval_tells_more() -> None:
    wide, narrow = worth(state(chance=0.99, wide=50.0)), worth(state(chance=0.99, wide=10.0))
    assert wide[0] > narrow[0]
    assert wide[1] == "telling"
