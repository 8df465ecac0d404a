from __future__ import annotations

from typing import Any

import pytest

from scoring.floor import corners, sight, strips, sweep
from scoring.floor.kernels import compile_kernels
from scoring.floor.place import prepare
from scoring.floor.survey import survey
from tests.scoring.floor.small_plans import at, kit, standard, two_rooms

KERNELS = [
    sweep.sweep,
    sight.inside,
    sight.nearest,
    strips.strip,
    strips.widest,
    strips.table,
    corners.sees,
]


@pytest.mark.parametrize("kernel", KERNELS)
def test_it_compiles_every_kernel_in_the_types_that_a_survey_uses(kernel: Any) -> None:
    compile_kernels()
    before = list(kernel.signatures)
    assert before
    survey(prepare(two_rooms(), kit(), standard()), [at(1.0, 1.0), at(3.0, 1.2), at(5.5, 1.2)], {})
    assert list(kernel.signatures) == before
