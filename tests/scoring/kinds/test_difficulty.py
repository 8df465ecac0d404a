"""Difficulty of a frame ranks with how often a solver errs that sees everything, but not sharply.

The solver reads every quantity with the noise of an eye at a screen and goes by the house standard. Noise: a seam is
read to about two pixels of a 90 degree view on 1,920 pixels (0.12 deg); the others are common practice, no source.
"""

from __future__ import annotations

from dataclasses import fields
from random import Random

import numpy as np
import pytest
from scipy.stats import spearmanr

from scoring.drill import Unfit
from scoring.frame.severity import Numbers, Severity
from scoring.kinds import kind
from scoring.kinds.frame_key import Known, known_of
from scoring.kinds.frame_task import difficulty_of
from tests.scoring.kinds.looked_at import ALL_CODES, known
from tests.scoring.kinds.shipped import parts, standard

NOISE = {
    "doubling_deg": 0.12, "horizon_step_deg": 0.12, "tilt_deg": 0.35, "veil_share": 0.03, "clipped_share": 0.015,
    "crushed_share": 0.04, "dark_ev": 0.3, "blur_deg": 0.05, "exposure_step_ev": 0.1, "colour_step_mired": 6.0,
    "missing_deg": 1.0, "repeated_deg": 1.0, "copies_count": 0.3, "self_count": 0.3, "ghost_share": 0.002,
    "lens_height_off_m": 0.06, "shadow_ratio": 0.4, "blocked_share": 0.0015, "crescent_share": 0.01,
}  # fmt: skip
COARSE = 0.3
"""Sizes are judged to within a third (Weber's law, the share from memory)."""
LOOKS = 4000


def error_rate(numbers: Numbers, right: str, seed: int) -> float:
    """How often the noisy solver says the other verdict: it redoes what it reads past the middle of the two limits."""
    dice = np.random.default_rng(seed)
    redo = np.zeros(LOOKS, bool)
    for field in fields(numbers):
        value = getattr(numbers, field.name)
        if value:
            bands = getattr(standard().frames, field.name)
            keep = next(band.at_least for band in bands if band.verdict != "keep")
            limit = next(band.at_least for band in bands if band.verdict == "redo")
            read = value + np.hypot(NOISE[field.name], COARSE * value) * dice.normal(size=LOOKS)
            redo |= read > np.sqrt(keep * limit)
    return float((redo != (right == "redo")).mean())


def ranks(cases: list[tuple[float, Known, Severity]]) -> float:
    """Rank correlation of difficulty with the solver's error rate."""
    errors = [error_rate(of.numbers, severity.verdict, seed) for seed, (_, of, severity) in enumerate(cases)]
    return float(spearmanr([difficulty for difficulty, _, _ in cases], errors).statistic)


def test_every_quantity_has_its_noise() -> None:
    assert set(NOISE) == {field.name for field in fields(Numbers)}


def test_difficulty_ranks_with_the_errors_of_a_noisy_solver() -> None:
    cases = []
    for seed in range(30):
        for code in ALL_CODES:
            of = known(code, seed)
            severity = of.severity(standard())
            cases.append((difficulty_of(severity), of, severity))
    assert ranks(Random(1).sample(cases, 500)) >= 0.6


@pytest.mark.proof
def test_difficulty_of_five_hundred_shipped_variations_ranks_with_the_errors_of_a_noisy_solver() -> None:
    recipe, plan, kit = parts("verdict-one-bedroom")
    cases, seed = [], 0
    while len(cases) < 500:
        seed += 1
        try:
            task = kind(recipe.kind).make(recipe, plan, kit, standard(), seed)
        except Unfit:
            continue
        of = known_of(task)
        cases.append((task.difficulty_logit, of, of.severity(standard())))
        if len(cases) % 50 == 0:
            print(f"{len(cases)} of {seed} seeds; rank correlation so far {ranks(cases):.2f}", flush=True)
    assert ranks(cases) >= 0.6
