"""What answers say of a person: more right is more, old answers fade, idle skills go back, floors are no merit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import logit
from scipy.stats import norm

from scoring.mastery.ability import Answered, Figure, Figures, believe, figures, overall_chance, retained
from scoring.mastery.decision import call
from scoring.mastery.population import STARTING, Population, StandardCase, StandardSet

SKILLS = ("A2", "B1", "D2", "V1")
STANDARD = StandardSet(
    format="levelhead-standard-set",
    version="t",
    title="Set of the tests",
    cases=tuple(
        StandardCase(recipe=f"r{i}", skill=skill, difficulty_logit=b, guess_floor=0.1, weight=1.0)
        for i, (skill, b) in enumerate((s, b) for s in SKILLS for b in (-0.5, 0.5))
    ),
)


def said(skill: str, credit: float, *, floor: float = 0.1, day: float = 0.0, difficulty: float = 0.0) -> Answered:
    return Answered(skill, credit, difficulty, 0.3, floor, day)


def found(evidence: list[Answered], day: float = 0.0, population: object = STARTING) -> Figures:
    return figures(believe(evidence, population, SKILLS), STANDARD, on_day=day, cut=80.0)  # type: ignore[arg-type]


credits = st.lists(st.tuples(st.sampled_from(SKILLS), st.floats(0.0, 1.0)), max_size=12)


@settings(max_examples=40, deadline=None)
@given(credits)
def test_an_interval_holds_its_score_and_a_chance_is_one(rows: list[tuple[str, float]]) -> None:
    whole = found([said(skill, credit) for skill, credit in rows])
    for figure in (whole.overall, *whole.skills.values()):
        assert 0.0 <= figure.low <= figure.score <= figure.high <= 100.0
        assert 0.0 <= figure.chance <= 1.0
    assert whole.overall.count == len(rows)


@settings(max_examples=20, deadline=None)
@given(credits)
def test_the_chance_alone_is_the_same_to_the_last_bit(rows: list[tuple[str, float]]) -> None:
    belief = believe([said(skill, credit) for skill, credit in rows], STARTING, SKILLS)
    whole = figures(belief, STANDARD, on_day=40.0, cut=80.0)
    assert overall_chance(belief, STANDARD, on_day=40.0, cut=80.0) == whole.overall.chance


@settings(max_examples=40, deadline=None)
@given(credits, st.sampled_from(SKILLS), st.floats(0.0, 0.9))
def test_a_better_answer_never_lowers_a_figure(rows: list[tuple[str, float]], skill: str, credit: float) -> None:
    rest = [said(name, value) for name, value in rows]
    low, high = found([*rest, said(skill, credit)]), found([*rest, said(skill, credit + 0.1)])
    assert high.overall.score > low.overall.score
    assert high.skills[skill].chance >= low.skills[skill].chance


@pytest.mark.parametrize(("right", "wrong"), [(0, 0), (6, 0), (9, 3), (30, 1)])
def test_one_skill_is_summed_as_it_is_and_not_as_a_normal(right: int, wrong: int) -> None:
    """Against scipy's own integral over the one ability that answers on a single skill speak of."""
    slow = replace(STARTING, evidence_half_life=30.0)
    rows = [Answered("A2", credit, 0.0, 0.0, 0.0, 0.0) for credit in [1.0] * right + [0.0] * wrong]
    figure = figures(believe(rows, slow, SKILLS), ONE_SKILL, on_day=0.0, cut=80.0).skills["A2"]
    fade = 2.0 ** (-1.0 / 30.0)
    faded = [fade ** (len(rows) - 1 - k) for k in range(len(rows))]
    worth = [one * sum(faded) / sum(w * w for w in faded) for one in faded]
    prior = norm(slow.overall_mean_logit, np.hypot(slow.overall_sd_logit, slow.deviation_sd_logit))

    def density(eta: float) -> float:
        said = -np.log1p(np.exp(-eta)) * sum(worth[:right]) - np.log1p(np.exp(eta)) * sum(worth[right:])
        return float(prior.pdf(eta) * np.exp(said))

    def mass(above: float) -> float:
        return float(quad(density, above, 12.0, limit=200)[0])

    whole = mass(-8.0)
    assert figure.chance == pytest.approx(mass(float(logit(0.80))) / whole, abs=0.006)
    for points, above in ((figure.low, 0.95), (figure.high, 0.05)):
        assert mass(float(logit(points / 100.0))) / whole == pytest.approx(above, abs=0.006)


def test_skills_share_strength_and_keep_their_own() -> None:
    figure = found([said("A2", 1.0)] * 8)
    nobody = found([])
    assert figure.skills["A2"].score > figure.skills["B1"].score > nobody.skills["B1"].score


def test_the_order_of_answers_on_different_skills_does_not_matter() -> None:
    rows = [said("A2", 1.0), said("B1", 0.0), said("D2", 0.4), said("V1", 1.0)]
    assert found(rows) == found(rows[::-1])


def test_it_is_the_same_to_the_last_bit_when_computed_again() -> None:
    rows = [said("A2", 0.7), said("B1", 0.2), said("A2", 0.9)]
    assert found(rows) == found(rows)


def test_what_a_guess_earns_is_no_merit() -> None:
    easy = found([said("A2", 1.0, floor=0.6)] * 5).skills["A2"]
    earned = found([said("A2", 1.0, floor=0.0)] * 5).skills["A2"]
    assert easy.score < earned.score


def test_half_of_a_gain_is_left_after_the_half_life_and_the_interval_widens() -> None:
    assert retained(STARTING, STARTING.half_life_days) == pytest.approx(0.5)
    assert retained(STARTING, -3.0) == 1.0
    rows = [said(skill, 1.0, day=0.0) for skill in SKILLS for _ in range(10)]
    fresh, idle = found(rows), found(rows, day=195.0)
    assert fresh.overall.score > idle.overall.score
    assert idle.skills["A2"].high - idle.skills["A2"].low > fresh.skills["A2"].high - fresh.skills["A2"].low


def test_long_idle_ends_at_the_novice_level_from_above_and_below() -> None:
    novice = replace(STARTING, novice_sd_logit=0.01)
    for credit in (0.0, 1.0):
        rows = [said("A2", credit)] * 20
        score = found(rows, day=195.0 * 30, population=novice).skills["A2"].score
        at_novice = np.mean([10 + 90 / (1 + np.exp(b)) for b in (-0.5, 0.5)])
        assert score == pytest.approx(at_novice, abs=0.5)


ONE_SKILL = StandardSet(
    format="levelhead-standard-set",
    version="t",
    title="Set of the tests",
    cases=(StandardCase(recipe="r", skill="A2", difficulty_logit=0.0, guess_floor=0.0, weight=1.0),),
)


def told_of(chances: list[np.ndarray], population: Population, seed: int) -> list[Figure]:
    """The figure after every answer of some people, right with the chances given, on one skill alone."""
    rng = np.random.default_rng(seed)
    answers = [[said("A2", float(rng.random() < p), floor=0.0) for p in each] for each in chances]
    return [
        figures(believe(rows, population, SKILLS), ONE_SKILL, on_day=0.0, cut=80.0).skills["A2"] for rows in answers
    ]


def test_a_learner_who_goes_from_half_to_nine_tenths_is_seen_as_of_now() -> None:
    unfading = replace(STARTING, evidence_half_life=1000.0)
    learner = [np.linspace(0.5, 0.9, 60)] * 200
    found, flat = (told_of(learner, one, 3) for one in (STARTING, unfading))
    assert np.mean([one.score for one in flat]) < 72.0 < 80.0 < np.mean([one.score for one in found])
    assert np.mean([one.low <= 90.0 <= one.high for one in flat]) < 0.1
    assert np.mean([one.low <= 90.0 <= one.high for one in found]) > 0.72


def test_somebody_who_stays_as_able_is_held_nine_times_of_ten_by_an_interval_that_fading_made_no_wider() -> None:
    rng = np.random.default_rng(4)
    level = STARTING.overall_mean_logit + np.hypot(STARTING.overall_sd_logit, STARTING.deviation_sd_logit) * (
        rng.normal(size=300)
    )
    truth = 1.0 / (1.0 + np.exp(-level))
    found = told_of([np.full(40, p) for p in truth], STARTING, 5)
    held = [one.low <= 100.0 * p <= one.high for one, p in zip(found, truth, strict=True)]
    assert 0.88 <= np.mean(held) <= 0.92


def test_it_calls_early_only_when_the_chance_is_clear() -> None:
    assert [call(p, ready_at=0.9, not_ready_at=0.1) for p in (0.95, 0.5, 0.1)] == [
        "ready", "not enough evidence", "not ready",
    ]  # fmt: skip
