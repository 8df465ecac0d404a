"""Beams: the corners of pieces, and tiles that need no beam."""

from __future__ import annotations

import numpy as np

from scoring.frame.beams import quads_of
from scoring.frame.shoot import shoot
from tests.scoring.frame.even_rooms import clean_stage
from tests.scoring.frame.spins import take


def test_corners_of_pieces_are_found_again_from_their_planes() -> None:
    planes = clean_stage().scene.planes
    quads = quads_of(planes)
    for k, (a, b) in enumerate(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))):
        assert np.allclose((planes[:, 4:7] * quads[:, k]).sum(axis=1) - planes[:, 7], a, atol=1e-6)
        assert np.allclose((planes[:, 8:11] * quads[:, k]).sum(axis=1) - planes[:, 11], b, atol=1e-6)
        assert np.allclose((planes[:, :3] * quads[:, k]).sum(axis=1), planes[:, 3], atol=1e-6)


def test_a_small_frame_traced_ray_by_ray_is_a_large_one_seen_coarsely() -> None:
    small, large = (shoot(clean_stage(), take(), width).linear_cd_m2 for width in (192, 768))
    coarse = large.reshape(96, 4, 192, 4, 3).mean(axis=(1, 3))
    off = np.abs(np.log2(small[10:86] / coarse[10:86]))
    assert np.median(off) < 0.03
    assert (off > 0.5).mean() < 0.06
