"""The horizon of a tilted axis against spherical trigonometry: elevation = atan(tan t cos(azimuth - az0)).

Worked values for t = 5 deg by trigonometry; the sine-wave form is that of Kita 2021 (read).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scoring.frame.spin import placed, spin_of
from tests.scoring.frame.spins import take, with_fixed_pupil, wrong

CURVE = [(0, 5.0), (30, 4.3329), (45, 3.54), (60, 2.5048), (90, 0.0)]


@pytest.mark.parametrize(("off_deg", "elevation_deg"), CURVE)
def test_the_horizon_lands_on_the_curve(off_deg: float, elevation_deg: float) -> None:
    """Far points of the horizon, where the headings put them, at that azimuth from where the axis leans."""
    spin = spin_of(with_fixed_pupil(take(wrong("F4", tilt_deg=5.0, toward_deg=20.0))))
    round_about = np.radians(np.arange(0.0, 360.0, 0.01))
    far = np.stack([np.cos(round_about), np.sin(round_about), np.zeros_like(round_about)], axis=1)
    found = []
    for heading in spin.headings:
        where = placed(spin, heading, np.array(spin.lens_point_m) + 1e7 * far)
        off = (where[:, 0] - 20.0 - off_deg + 180.0) % 360.0 - 180.0
        inside = np.abs((where[:, 0] - heading.believed_deg + 180.0) % 360.0 - 180.0) <= spin.half_deg + 1.0
        if (inside & (np.abs(off) < 0.5)).any():
            nearest = np.argsort(np.where(inside, np.abs(off), math.inf))[:2]
            found.append(float(np.interp(0.0, np.sort(off[nearest]), where[nearest, 1][np.argsort(off[nearest])])))
    assert found
    assert found == pytest.approx([elevation_deg] * len(found), abs=1e-4)
