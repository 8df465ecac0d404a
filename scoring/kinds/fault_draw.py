"""Drawing a fault of the catalogue at random, within the ranges that drills use; and once more, larger or narrower."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random

from scoring.frame.faults import FAULTS, Choice, Parameter
from scoring.frame.take import Fault
from scoring.rig.kit import Kit

ONE_OF = {"F3": ("roll_deg", "lean_deg"), "F9": ("offset_mm", "tilt_deg")}
"""Faults that come about in one of two ways: a case shows one of them, the other stays at nought."""
COUNTED = {"heading": 0, "seam": 0, "missing": 1}
"""Parameters that count headings: so many fewer than the kit has are the most."""
SIZED = ("_mm", "_deg", "_ev", "loss", "_share", "_kelvin")
DIRECTIONS = frozenset({"toward_deg", "off_axis_deg", "grain_deg", "azimuth_deg"})
"""Values in degrees that say where, not how much."""


def draw_fault(code: str, kit: Kit, rng: Random, *, scale: float = 1.0) -> Fault:
    """A fault of that code. ``scale`` multiplies its sizes, within the ranges: to try again smaller or larger."""
    values: dict[str, float | str] = {}
    for parameter in FAULTS[code].parameters:
        if isinstance(parameter, Choice):
            values[parameter.name] = rng.choice(parameter.options)
        else:
            values[parameter.name] = _number(parameter, kit, rng, scale)
    if code in ONE_OF:
        values[rng.choice(ONE_OF[code])] = 0.0
    return Fault(code, values)  # type: ignore[arg-type]


def _number(parameter: Parameter, kit: Kit, rng: Random, scale: float) -> float:
    if parameter.whole:
        most = min(parameter.high, kit.headings - COUNTED.get(parameter.name, 0))
        return float(rng.randint(int(parameter.low), max(int(parameter.low), int(most))))
    if parameter.low > 0.0:
        size = parameter.low * float((parameter.high / parameter.low) ** rng.random())
        size = min(parameter.high, max(parameter.low, size * scale))
    else:
        size = rng.uniform(parameter.low, parameter.high)
    size = round(size, 3)
    return -size if parameter.signed and rng.random() < 0.5 else size


def narrowed(fault: Fault, fixed: Mapping[str, Sequence[str]], rng: Random) -> Fault:
    """The fault with a choice that is allowed, where it has one of that name."""
    values = dict(fault.values)
    for name, allowed in fixed.items():
        if name in values and values[name] not in allowed:
            fit = [word for word in allowed if _takes(fault, name, word)]
            values[name] = rng.choice(fit)
    return Fault(fault.code, values)


def grown(fault: Fault, factor: float) -> dict[str, float | str]:
    """A fault's values with its sizes so many times as large, where the catalogue allows it."""
    values = dict(fault.values)
    for name, value in fault.values.items():
        if name.endswith(SIZED) and name not in DIRECTIONS and isinstance(value, float):
            values[name] = round(value * factor, 3)
            if not _takes(fault, name, values[name]):
                values[name] = value
    return values


def _takes(fault: Fault, name: str, value: float | str) -> bool:
    try:
        Fault(fault.code, {**fault.values, name: value})
    except ValueError:
        return False
    return True


__all__ = ["draw_fault", "grown", "narrowed"]
