"""Spacing of practice against a sequence of the scheduling library's own default parameters (FSRS-6)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from trainer.progress.schedule import Spaced, reviewed

WEIGHTS = (
    0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666, 0.796, 1.4835, 0.0614, 0.2629,
    1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658, 0.1542,
)  # fmt: skip
"""w0..w20 as the library's text prints them."""
SEQUENCE = [
    (0, 1.0, 2.3065, 2.1181),
    (2, 1.0, 10.9643, 2.1112),
    (11, 1.0, 46.2802, 2.1043),
    (46, 0.0, 2.9326, 7.3900),
    (2, 1.0, 6.5169, 7.3778),
    (10, 0.6, 14.0008, 8.2445),
]
"""Idle days, credit, then stability [days] and hardness: computed once with the library itself (version 6.3.2)."""
BEGIN = datetime(2026, 1, 1, tzinfo=UTC)


def test_it_follows_the_sequence_of_the_library() -> None:
    spaced: Spaced | None = None
    at = BEGIN
    for gap, credit, stability, hardness in SEQUENCE:
        at += timedelta(days=gap)
        spaced = reviewed(spaced, credit, at)
        assert spaced.stability_days == pytest.approx(stability, abs=2e-4)
        assert spaced.hardness == pytest.approx(hardness, abs=2e-4)


def test_the_first_stabilities_are_the_printed_weights() -> None:
    """w0, w1 and w2 are the stabilities after a first lapse, a shaky and a good first answer."""
    assert [reviewed(None, credit, BEGIN).stability_days for credit in (0.0, 0.6, 1.0)] == pytest.approx(WEIGHTS[:3])


def test_the_forgetting_curve_of_the_text_is_at_nine_tenths_when_the_stability_has_passed() -> None:
    """R(t) = (1 + F t / S)^-w20 with F = 0.9^(-1/w20) - 1, which the text gives as 0.980346."""
    factor = 0.9 ** (-1.0 / WEIGHTS[20]) - 1.0
    assert factor == pytest.approx(0.980346, abs=1e-6)
    spaced = reviewed(None, 1.0, BEGIN)
    interval = (spaced.due_at - spaced.last_at).days
    remembered = (1.0 + factor * interval / spaced.stability_days) ** -WEIGHTS[20]
    assert remembered == pytest.approx(0.9, abs=0.02), "days are whole, so about nine in ten when it is due"


def test_an_hour_late_is_overdue_and_an_hour_early_is_not() -> None:
    spaced = reviewed(None, 1.0, BEGIN)
    assert spaced.overdue_share(spaced.due_at) == 0.0
    assert spaced.overdue_share(spaced.due_at + timedelta(hours=1)) > 0.0
    assert spaced.overdue_share(spaced.due_at - timedelta(hours=1)) < 0.0
