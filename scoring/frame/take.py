"""A take: the whole cause of a frame. Place, kit, station, hour, light and faults; the same take, the same frame.

::

    plan + kit + station + hour + sky + lamps  --stage-->  scene with its light   (heavy, reusable)
    kit + faults + seed                        --spin_of-> where every heading really was
    both                                       --shoot-->  the frame
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, TypeAdapter
from pydantic.dataclasses import dataclass

from scoring.border import FileProblems, Problem, read_value
from scoring.drill import canonical_json
from scoring.floor.plan import Plan, Station
from scoring.frame.faults import FAULTS, FaultCode
from scoring.light.instant import julian_day
from scoring.rig.kit import Kit
from scoring.standard import BORDER

FAULTS_MAX = 3
"""More causes at once teach nothing."""


@dataclass(frozen=True, slots=True, config=BORDER)
class Fault:
    """One fault with its parameters; those left out are at their defaults."""

    code: FaultCode
    values: Annotated[dict[str, float | str], Field(max_length=8)] = Field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", FAULTS[self.code].complete(self.values))

    def number(self, name: str) -> float:
        """The value of a parameter that is a number."""
        return float(self.values[name])

    def word(self, name: str) -> str:
        """The value of a parameter that is a word."""
        return str(self.values[name])


def _instant(when: str) -> str:
    julian_day(when)
    return when


def _unlike(faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
    codes = [fault.code for fault in faults]
    if len(set(codes)) < len(codes):
        raise ValueError("the same fault stands twice")
    return faults


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Take:
    """The whole cause of a frame. Angles in the plan count counter-clockwise from east, as ``Plan.north_deg`` does."""

    plan: Plan
    kit: Kit
    station: Station
    when_iso: Annotated[str, Field(max_length=40), AfterValidator(_instant)] = "2025-03-20T12:00"
    """Date and hour; without an offset it is universal time."""
    latitude_deg: Annotated[float, Field(ge=-66.0, le=66.0)] = 45.0
    longitude_deg: Annotated[float, Field(ge=-180.0, le=180.0)] = 0.0
    sky: Literal["clear", "overcast"] = "clear"
    lamps: bool = True
    faults: Annotated[tuple[Fault, ...], Field(max_length=FAULTS_MAX), AfterValidator(_unlike)] = ()
    seed: Annotated[int, Field(ge=0, le=2**53)] = 0
    facing_deg: Annotated[float, Field(ge=-360.0, le=360.0)] = 0.0
    """Direction of heading 1 and of the middle of the frame, counter-clockwise from east on the drawing."""

    def __post_init__(self) -> None:
        if self.station.level >= len(self.plan.levels):
            raise ValueError(f"{self.plan.title} has {len(self.plan.levels)} levels; the station is on none of them")
        for fault in self.faults:
            _check_count(fault, self.kit.headings)

    def fault(self, code: str) -> Fault | None:
        """The fault of that code, if it is one of the take's."""
        return next((fault for fault in self.faults if fault.code == code), None)


def _check_count(fault: Fault, headings: int) -> None:
    """ValueError when a fault names a heading or a seam that the kit does not have."""
    for name in ("heading", "seam", "missing"):
        most = headings - 1 if name == "missing" else headings
        if name in fault.values and fault.number(name) > most:
            raise ValueError(f"{fault.code}: {name} is at most {most} with {headings} headings")


_TAKE = TypeAdapter(Take)


def take_json(take: Take) -> dict[str, Any]:
    """A take as JSON: what is stored, and what a content address is made of."""
    found: dict[str, Any] = _TAKE.dump_python(take)
    return found


def read_take(value: Any) -> Take:
    """A take from its JSON. Raises FileProblems with everything that is wrong and its place."""
    try:
        data = canonical_json(value).encode()
    except (TypeError, ValueError) as error:
        raise FileProblems([Problem("", f"is no JSON value: {error}")]) from None
    return read_value(_TAKE, data)


__all__ = ["FAULTS_MAX", "Fault", "Take", "read_take", "take_json"]
