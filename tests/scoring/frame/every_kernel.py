"""Run by itself: which kernels a frame of any fault needs that the frames of some faults have not loaded.

python -m tests.scoring.frame.every_kernel F1 F6   ->   F1: scoring.frame.softness.blur_across ...
                                                        F1 F6: scoring.frame.softness.blur_down ...
"""

from __future__ import annotations

import sys
from collections.abc import Iterable

from numba.core.registry import CPUDispatcher

from scoring.frame.faults import FAULTS, FaultCode
from scoring.frame.picture import heading_picture
from scoring.frame.shoot import shoot
from scoring.frame.stage import Stage, stage, stage_key
from scoring.frame.take import Fault
from tests.scoring.frame.spins import take

WIDTH_PX = 256
Loaded = set[tuple[str, object]]

_stages: dict[str, Stage] = {}


def loaded_by(codes: Iterable[FaultCode]) -> Loaded:
    """Every kernel that is loaded when a small frame and a heading of each fault are made, with what it is compiled
    for."""
    for code in codes:
        of = take(Fault(code, {}), floor="studio", x=4.2, y=2.2)
        key = stage_key(of)
        _stages[key] = on = _stages.get(key) or stage(of)
        shoot(on, of, WIDTH_PX)
        heading_picture(on, of, 0, WIDTH_PX)
    return {
        (f"{name}.{kernel.py_func.__name__}", signature)
        for name, module in list(sys.modules.items())
        if name.startswith("scoring.")
        for kernel in vars(module).values()
        if isinstance(kernel, CPUDispatcher)
        for signature in kernel.signatures
    }


def main(codes: list[FaultCode]) -> None:
    """Tell what the first fault alone leaves to load, and what all of them do."""
    first, some = loaded_by(codes[:1]), loaded_by(codes)
    every = loaded_by(code for code in FAULTS if code.startswith("F"))
    print(f"{codes[0]}:", *sorted({name for name, _ in every - first}))
    print(f"{' '.join(codes)}:", *sorted({name for name, _ in every - some}))


if __name__ == "__main__":
    main(sys.argv[1:])  # type: ignore[arg-type]
