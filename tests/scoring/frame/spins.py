"""Takes and spins that tests of frames share: shipped floors and kits, a station, one fault."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from scoring.floor.plan import Plan, Station
from scoring.floor.read import read_kit, read_plan
from scoring.frame.faults import FaultCode
from scoring.frame.take import Fault, Take
from scoring.rig.kit import Kit

SCENARIOS = Path(__file__).resolve().parents[3] / "scenarios"


@cache
def plan(name: str) -> Plan:
    return read_plan((SCENARIOS / "floors" / f"{name}.json").read_bytes())


@cache
def kit(name: str) -> Kit:
    return read_kit((SCENARIOS / "kits" / f"{name}.json").read_bytes())


def take(
    *faults: Fault,
    floor: str = "one-bedroom",
    x: float = 2.0,
    y: float = 2.0,
    with_kit: str = "plover-four",
    **more: Any,
) -> Take:
    return Take(plan=plan(floor), kit=kit(with_kit), station=Station(level=0, x=x, y=y), faults=faults, **more)


def wrong(code: FaultCode, **values: float | str) -> Fault:
    return Fault(code, values)


def with_fixed_pupil(given: Take) -> Take:
    """The same with a lens whose pupil stays where it is at all angles."""
    return replace(given, kit=replace(given.kit, lens=replace(given.kit.lens, pupil_travel_mm=0.0)))
