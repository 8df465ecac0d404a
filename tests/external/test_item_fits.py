"""Fits of published tables: the LSAT data (Bock and Lieberman 1970), a KR-20 worksheet, and an independent library.

2PL figures: output of the R package ltm for its LSAT data; Rasch figures: a test of the R package mirt; person scores:
ltm. Expected a posteriori: ltm's figures put into girth, and integrated by SciPy. KR-20: worksheet of K. Wuensch (one
printed row corrected, so that the printed column figures agree).
"""

from __future__ import annotations

from functools import cache
from math import exp

import girth
import numpy as np
import pytest
from scipy.integrate import quad

from scoring.mastery.items import ability_mode, fit_2pl, item_rest, kr20

LSAT = {
    "00000": 3, "00001": 6, "00010": 2, "00011": 11, "00100": 1, "00101": 1, "00110": 3, "00111": 4, "01000": 1,
    "01001": 8, "01011": 16, "01101": 3, "01110": 2, "01111": 15, "10000": 10, "10001": 29, "10010": 14, "10011": 81,
    "10100": 3, "10101": 28, "10110": 15, "10111": 80, "11000": 16, "11001": 56, "11010": 21, "11011": 173,
    "11100": 11, "11101": 61, "11110": 28, "11111": 298,
}  # fmt: skip
SLOPES = [0.8254, 0.7229, 0.8905, 0.6886, 0.6575]
DIFFICULTIES = [-3.3597, -1.3696, -0.2799, -1.8659, -3.1236]
WORKSHEET = (
    "1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110"
)


def lsat() -> np.ndarray:
    return np.array([[float(c) for c in pattern] for pattern, count in LSAT.items() for _ in range(count)])


@cache
def integrated_eap(pattern: str) -> tuple[float, float]:
    """Mean and sd of ability after the answers of a pattern ("1", "0", "-" not seen): Bayes' rule on ltm's published
    slopes and difficulties under a standard normal prior, integrated by SciPy (QUADPACK)."""

    def posterior(theta: float) -> float:
        height = exp(-0.5 * theta * theta)
        for answer, slope, difficulty in zip(pattern, SLOPES, DIFFICULTIES, strict=True):
            right = 1.0 / (1.0 + exp(-slope * (theta - difficulty)))
            height *= {"1": right, "0": 1.0 - right, "-": 1.0}[answer]
        return height

    mass, first, second = (quad(lambda x, n=n: x**n * posterior(x), -12, 12, epsabs=1e-12)[0] for n in range(3))
    return first / mass, (second / mass - (first / mass) ** 2) ** 0.5


def test_the_table_is_the_published_one() -> None:
    assert lsat().shape == (1000, 5)
    assert lsat().sum(axis=0).tolist() == [924, 709, 553, 763, 870]


def test_two_parameter_fit_of_the_lsat_table() -> None:
    fit = fit_2pl(lsat())
    assert fit.slope == pytest.approx(SLOPES, abs=0.01)
    assert fit.difficulty == pytest.approx(DIFFICULTIES, abs=0.01)
    assert fit.loglik == pytest.approx(-2466.653, abs=0.01)


def test_rasch_fit_of_the_lsat_table() -> None:
    fit = fit_2pl(lsat(), equal_slopes=True)
    assert -fit.slope * fit.difficulty == pytest.approx([2.73, 0.999, 0.24, 1.306, 2.099], abs=0.005)
    assert fit.slope[0] ** 2 == pytest.approx(0.57, abs=0.005)


@pytest.mark.parametrize(
    ("pattern", "score", "error"),
    [("00000", -1.895, 0.795), ("11111", 0.606, 0.855), ("10110", -0.352, 0.815), ("11011", -0.022, 0.827)],
)
def test_person_scores_of_the_lsat_table(pattern: str, score: float, error: float) -> None:
    fit = fit_2pl(lsat())
    found = ability_mode(np.array([float(c) for c in pattern]), fit.slope, fit.difficulty)
    assert found == (pytest.approx(score, abs=0.003), pytest.approx(error, abs=0.003))


def test_expected_a_posteriori_scores_of_all_patterns_of_the_lsat_table() -> None:
    fit, ours = fit_2pl(lsat()), {}
    for row, mean, sd in zip(lsat(), fit.ability, fit.ability_sd, strict=True):
        ours["".join(str(int(one)) for one in row)] = (mean, sd)
    table = np.array([[int(c) for c in pattern] for pattern in LSAT]).T
    by_girth = girth.ability_eap(table, np.array(DIFFICULTIES), np.array(SLOPES))
    for pattern, theirs in zip(LSAT, by_girth, strict=True):
        assert ours[pattern] == pytest.approx(integrated_eap(pattern), abs=0.01), pattern
        assert ours[pattern][0] == pytest.approx(theirs, abs=0.01), pattern
    assert len(ours) == len(LSAT)


def test_kr20_of_the_worksheet_and_of_the_lsat_table() -> None:
    rows = np.array([[float(c) for c in row] for row in WORKSHEET.split()])
    assert (rows.mean(axis=0) * (1 - rows.mean(axis=0))).sum() == pytest.approx(2.18, abs=0.005)
    assert rows.sum(axis=1).var() == pytest.approx(5.84, abs=0.005)
    assert kr20(rows) == pytest.approx(0.6963, abs=5e-5)
    assert kr20(lsat()) == pytest.approx(0.2950, abs=5e-5)


def test_it_agrees_with_an_independent_fit() -> None:
    rng = np.random.default_rng(7)
    slope, difficulty = rng.lognormal(0.0, 0.3, 12), rng.normal(0.0, 1.0, 12)
    theta = rng.normal(size=1500)
    answers = (rng.random((1500, 12)) < 1 / (1 + np.exp(-slope * (theta[:, None] - difficulty)))).astype(float)
    ours, theirs = fit_2pl(answers), girth.twopl_mml(answers.T.astype(int))
    assert ours.slope == pytest.approx(theirs["Discrimination"], abs=0.02)
    assert ours.difficulty == pytest.approx(theirs["Difficulty"], abs=0.03)


def test_unseen_answers_are_left_out_and_hopeless_cases_are_named() -> None:
    answers = lsat()
    answers[::3, 2] = np.nan
    assert fit_2pl(answers).difficulty == pytest.approx(DIFFICULTIES, abs=0.35)
    answers[:, 1] = 1.0
    with pytest.raises(ValueError, match=r"cases \[1\]"):
        fit_2pl(answers)


def test_item_rest_is_the_correlation_with_the_other_cases() -> None:
    answers = lsat()
    rest = answers.sum(axis=1) - answers[:, 0]
    assert item_rest(answers)[0] == pytest.approx(np.corrcoef(answers[:, 0], rest)[0, 1])
