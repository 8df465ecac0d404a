"""Light thrown to and fro, against the solution of the same equations by elimination."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csr_matrix

from scoring.frame.balance import RESIDUAL, settle


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_it_agrees_with_elimination(share: float) -> None:
    rng = np.random.default_rng(5)
    exchange = rng.random((40, 40)) * (rng.random((40, 40)) < 0.3)
    exchange /= np.maximum(exchange.sum(axis=1, keepdims=True), 1.0)
    reflect = share * rng.random((40, 3))
    given = rng.random((40, 3)) * 100.0
    leaving, _ = settle(csr_matrix(exchange), reflect, given)
    for k in range(3):
        exact = np.linalg.solve(np.eye(40) - reflect[:, k : k + 1] * exchange, reflect[:, k] * given[:, k])
        np.testing.assert_allclose(leaving[:, k], exact, atol=20.0 * RESIDUAL * exact.mean())


def test_two_bounces_are_not_enough_in_a_white_room() -> None:
    """In a closed room of one reflectance r, n bounces carry 1 - r^n of all (geometric series)."""
    even = csr_matrix(np.full((10, 10), 0.1))
    leaving, _ = settle(even, np.full((10, 3), 0.7), np.ones((10, 3)))
    assert leaving == pytest.approx(np.full((10, 3), 0.7 / 0.3), rel=1e-3)
    two = 0.7 + 0.7**2
    assert two / (0.7 / 0.3) == pytest.approx(0.51, abs=0.005)


def test_darkness_settles_at_once() -> None:
    leaving, sweeps = settle(csr_matrix(np.full((4, 4), 0.25)), np.full((4, 3), 0.8), np.zeros((4, 3)))
    assert not leaving.any()
    assert sweeps == 1
