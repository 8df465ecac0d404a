"""The response curve."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.light.response import decoded, encoded, level_table, levels


@given(st.floats(0.0, 1.0))
def test_levels_read_back_as_the_light_they_were_written_for(share: float) -> None:
    assert float(decoded(encoded(np.array(share)))) == pytest.approx(share, abs=1e-9)
    level = int(levels(np.array(share)))
    assert abs(float(encoded(np.array(share))) - level / 255.0) <= 0.5 / 255.0 + 1e-12


def test_middle_grey_is_level_118() -> None:
    """IEC 61966-2-1: linear 0.18 is 0.4613 of full scale."""
    assert int(levels(np.array(0.18))) == 118
    table = level_table()
    assert (np.diff(table.astype(int)) >= 0).all()
    assert table[round(0.18 * 65535)] == 118
