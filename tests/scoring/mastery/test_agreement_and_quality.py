"""What two trainers agree on, and what answers say of recipes."""

from __future__ import annotations

import numpy as np
import pytest

from scoring.mastery.agreement import agreement
from scoring.mastery.quality import FLAG_FROM, Quality, flags, qualities, variant_spread


def test_kappa_takes_off_what_chance_would_agree_on() -> None:
    """The textbook table 20, 5, 10, 15: shares .70 and .50, kappa .40 (from memory; by hand: (.7 - .5) / .5)."""
    pairs = [(True, True)] * 20 + [(True, False)] * 5 + [(False, True)] * 10 + [(False, False)] * 15
    found = agreement(pairs)
    assert (found.pairs, found.agreed) == (50, 35)
    assert found.kappa == pytest.approx(0.4)
    assert found.low < found.share == 0.7 < found.high


def test_kappa_says_nothing_where_everybody_always_says_the_same() -> None:
    assert agreement([(True, True)] * 9).kappa is None
    assert agreement([]).kappa is None
    assert agreement([]).pairs == 0


@pytest.fixture(scope="module")
def table() -> np.ndarray:
    """Three thousand people of known ability on six recipes; the last is drawn by chance alone."""
    rng = np.random.default_rng(7)
    ability = rng.normal(size=3000)
    difficulty, slope = np.array([-1.0, -0.5, 0.0, 0.5, 1.0, 0.0]), np.array([1.0, 1.0, 2.5, 1.0, 1.0, 0.0])
    chance = 1.0 / (1.0 + np.exp(-slope * (ability[:, None] - difficulty)))
    answers = (rng.random(chance.shape) < chance).astype(float)
    answers[rng.random(answers.shape) < 0.2] = np.nan
    return answers


def test_harder_recipes_and_recipes_that_tell_little_are_told_apart(table: np.ndarray) -> None:
    found = qualities(table, well_from=0.8)
    order = [one.difficulty_logit for one in found[:5]]
    assert order == sorted(order)  # type: ignore[type-var]
    rests = [one.rest for one in found]
    assert min(r for r in rests[:5] if r is not None) > 0.15
    assert rests[5] is not None
    assert rests[5] < 0.15
    slopes = [one.slope for one in found]
    assert slopes[2] == max(s for s in slopes if s is not None)
    assert flags(found[5], None, 40.0) == ("tells little",)
    assert flags(found[2], None, 40.0) == ()


def test_a_recipe_that_everybody_does_well_on_has_no_slope_and_is_flagged_only_from_thirty_people() -> None:
    many, few = (qualities(np.ones((n, 2)), well_from=0.8)[0] for n in (FLAG_FROM, FLAG_FROM - 1))
    assert many.slope is None
    assert many.rest is None
    assert flags(many, None, None) == ("too easy",)
    assert flags(few, None, None) == ()


def test_flags_name_what_to_look_at() -> None:
    poor = Quality(people=40, share=0.1, slope=0.5, difficulty_logit=3.0, rest=0.4)
    assert flags(poor, 0.9, 2.0) == ("too hard", "variants differ", "answered in no time")


def test_variants_differ_only_beyond_what_chance_parts_them_by() -> None:
    assert variant_spread({"a": (29, 0.1), "b": (400, 0.9)}) is None
    near, far = variant_spread({"a": (40, 0.7), "b": (40, 0.75)}), variant_spread({"a": (200, 0.3), "b": (200, 0.9)})
    assert near == 0.0
    assert far is not None
    assert far > 2.0
