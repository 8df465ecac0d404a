"""The catalogue of what can go wrong in a spin: each fault by its physical parameters, with units and ranges.

A parameter's *range* is what is drawn for drills; smaller sizes are accepted too, down to none at all, because a
fault too small to matter is a case of its own. Ranges: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

FaultCode = Literal[
    "N0", "N1", "F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10", "F11", "F12", "F13", "F14", "F15", "F16",
    "F17", "F18", "F19",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Parameter:
    """One number of a fault. ``low`` and ``high`` bound what drills use; a signed one may also be negative."""

    name: str
    unit: str
    words: str
    low: float
    high: float
    default: float
    signed: bool = False
    whole: bool = False

    def refused(self, value: float | str) -> str | None:
        """Why a value is refused, in words; None when it is taken."""
        if isinstance(value, str) or not math.isfinite(value):
            return f"{self.name} must be a number"
        if self.whole and value != round(value):
            return f"{self.name} must be a whole number"
        least = -self.high if self.signed else self.low if self.whole else 0.0
        if not least <= value <= self.high:
            return f"{self.name} must lie between {least:g} and {self.high:g} {self.unit}".rstrip()
        return None


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice of a fault, by a word."""

    name: str
    words: str
    options: tuple[str, ...]

    @property
    def default(self) -> str:
        """What is taken when nothing is said."""
        return self.options[0]

    def refused(self, value: float | str) -> str | None:
        """Why a value is refused, in words; None when it is taken."""
        return None if value in self.options else f"{self.name} must be one of: {', '.join(self.options)}"


@dataclass(frozen=True, slots=True)
class FaultForm:
    """A fault of the catalogue: its name in words and what it is described by."""

    code: str
    title: str
    parameters: tuple[Parameter | Choice, ...] = ()

    def complete(self, values: Mapping[str, float | str]) -> dict[str, float | str]:
        """Values with every parameter named, defaults filled in. ValueError says what is refused."""
        known = {parameter.name: parameter for parameter in self.parameters}
        for name in values:
            if name not in known:
                names = ", ".join(known) or "none"
                raise ValueError(f"{self.code} has no parameter {name!r}; it has: {names}")
        full = {name: values.get(name, parameter.default) for name, parameter in known.items()}
        for name, value in full.items():
            why = known[name].refused(value)
            if why is not None:
                raise ValueError(f"{self.code}: {why}")
        return full


def _toward(words: str, default: float) -> Parameter:
    return Parameter("toward_deg", "deg", words, 0.0, 360.0, default)


_HEADING = "first heading that it touches, counted from 1"

_FORMS = (
    FaultForm("N0", "nothing wrong"),
    FaultForm("N1", "below what matters", (
        Parameter("forward_mm", "mm", "pupil out from the axis", 0.0, 2.0, 1.0, signed=True),
        Parameter("side_mm", "mm", "pupil to the right of the axis", 0.0, 2.0, 1.0, signed=True),
        Parameter("tilt_deg", "deg", "axis off plumb", 0.0, 0.3, 0.15),
        _toward("azimuth that the axis leans to", 30.0),
        Parameter("veil_share", "", "light spread over all of the picture", 0.0, 0.03, 0.01),
        Parameter("step_ev", "EV", "exposure of every other heading", 0.0, 0.1, 0.05),
    )),
    FaultForm("F1", "lens in front of or behind the axis", (
        Parameter("offset_mm", "mm", "pupil out from the axis, negative: behind it", 4.0, 40.0, 20.0, signed=True),
    )),
    FaultForm("F2", "lens beside the axis", (
        Parameter("offset_mm", "mm", "pupil to the right of the axis, negative: left", 4.0, 40.0, 20.0, signed=True),
    )),
    FaultForm("F3", "phone not straight in the clamp", (
        Parameter("roll_deg", "deg", "turned clockwise, seen from behind", 0.5, 5.0, 2.0, signed=True),
        Parameter("lean_deg", "deg", "leaning back, negative: forward", 1.0, 8.0, 0.0, signed=True),
    )),
    FaultForm("F4", "axis tilted", (
        Parameter("tilt_deg", "deg", "axis off plumb", 0.5, 6.0, 2.0),
        _toward("azimuth that the axis leans to", 30.0),
    )),
    FaultForm("F5", "tripod moved during the spin", (
        Parameter("heading", "", _HEADING, 2.0, 12.0, 2.0, whole=True),
        Parameter("shift_mm", "mm", "how far it moved", 5.0, 60.0, 25.0),
        _toward("azimuth that it moved to", 60.0),
        Parameter("yaw_deg", "deg", "how far it turned, clockwise seen from above", 0.0, 2.0, 0.5, signed=True),
    )),
    FaultForm("F6", "unsteady support", (
        Parameter("rocking_deg", "deg", "how far headings rock, at most", 0.2, 2.0, 0.8),
        Parameter("sway_mm", "mm", "how far the lens sways, at most", 2.0, 20.0, 8.0),
        Parameter("blur_deg", "deg", "smear of the headings that moved while exposing, at most", 0.0, 0.5, 0.1),
    )),
    FaultForm("F7", "joint slips in turning", (
        Parameter("slip_deg", "deg", "slip of one step", 0.5, 10.0, 2.0, signed=True),
        Choice("pattern", "every step slips alike, or now more and now less", ("growing", "irregular")),
    )),
    FaultForm("F8", "spin stopped short", (
        Parameter("missing", "", "headings not taken", 1.0, 11.0, 1.0, whole=True),
        Choice("fill", "what the merger puts there", ("black", "repeated", "squeezed")),
    )),
    FaultForm("F9", "lens not seated", (
        Parameter("offset_mm", "mm", "lens off the camera's axis", 0.3, 3.0, 1.0),
        Parameter("tilt_deg", "deg", "lens not square to the camera", 1.0, 8.0, 0.0),
        _toward("side that it is off to, round the lens seen from behind: 0 right, 90 up", 0.0),
    )),
    FaultForm("F10", "smudge on the lens", (
        Parameter("patch_share", "", "share of the aperture that is smeared", 0.1, 0.5, 0.25),
        Parameter("contrast_loss", "", "contrast lost behind the patch", 0.1, 0.6, 0.35),
        Parameter("off_axis_deg", "deg", "middle of the patch from the lens axis", 0.0, 80.0, 30.0),
        _toward("where the patch is, round the lens seen from behind: 0 right, 90 up", 20.0),
        Parameter("grain_deg", "deg", "direction of the wipe, round the lens", 0.0, 180.0, 35.0),
    )),
    FaultForm("F11", "fog on the glass", (
        Parameter("loss", "", "contrast lost in heading 1", 0.2, 0.9, 0.5),
        Parameter("half_life_min", "min", "time in which half of it goes", 2.0, 6.0, 4.0),
        Parameter("step_min", "min", "time from heading to heading", 0.1, 2.0, 0.5),
    )),
    FaultForm("F12", "glare from the sun or a window", (
        Parameter("veil_share", "", "veil beside the source, as share of what is seen there", 0.05, 0.4, 0.15),
        Parameter("spots", "", "spots on the line from the source through the middle", 1.0, 6.0, 4.0, whole=True),
    )),
    FaultForm("F13", "soft", (
        Choice("kind", "out of focus, or smeared while turning", ("focus", "motion")),
        Parameter("blur_deg", "deg", "width of the blur", 0.1, 0.8, 0.4),
        Parameter("heading", "", "the one heading that is soft, counted from 1; 0: all", 0.0, 12.0, 0.0, whole=True),
    )),
    FaultForm("F14", "exposure placed wrong", (
        Parameter("offset_ev", "EV", "exposure off the meter; negative: too dark", 1.0, 4.0, -2.0, signed=True),
        Choice("brackets", "one exposure or the kit's brackets", ("one", "all")),
    )),
    FaultForm("F15", "exposure or colour jumps", (
        Parameter("step_ev", "EV", "how much brighter", 0.1, 1.5, 0.5, signed=True),
        Parameter("step_kelvin", "K", "how much the colour temperature moves", 200.0, 1500.0, 0.0, signed=True),
        Parameter("heading", "", _HEADING, 2.0, 12.0, 2.0, whole=True),
        Choice("pattern", "stays so from that heading on, or every heading sets its own", ("step", "irregular")),
    )),
    FaultForm("F16", "person or pet moved", (
        Choice("who", "what moved", ("person", "pet")),
        Parameter("copies", "", "how often it is seen; 1: cut by the seam", 1.0, 3.0, 2.0, whole=True),
        Parameter("seam", "", "the seam that it moved across, counted from 1", 1.0, 12.0, 1.0, whole=True),
        Parameter("away_m", "m", "how far from the lens", 0.8, 6.0, 1.8),
    )),
    FaultForm("F17", "a thing moved between exposures", (
        Choice("what", "what moved", ("fan", "curtain", "plant", "pet")),
        Parameter("copies", "", "exposures of one heading", 2.0, 5.0, 3.0, whole=True),
        Parameter("shift_deg", "deg", "how far it moved from one to the next, seen from the lens", 0.3, 5.0, 1.5),
        Parameter("azimuth_deg", "deg", "where it is", 0.0, 360.0, 0.0),
        Parameter("away_m", "m", "how far from the lens", 0.8, 6.0, 1.6),
    )),
    FaultForm("F18", "low sun", (
        Parameter("sun_deg", "deg", "height of the sun", 3.0, 25.0, 10.0),
        Choice("half", "half of the day", ("morning", "evening")),
    )),
    FaultForm("F19", "wrong height, or a thing in the frame", (
        Choice("kind", "what is wrong", ("height", "finger", "strap", "self")),
        Parameter("height_m", "m", "height of the lens, for kind height", 0.7, 1.3, 1.0),
        _toward("where it is, round the lens seen from behind: 0 right, 90 up", 250.0),
    )),
)  # fmt: skip

FAULTS: dict[str, FaultForm] = {form.code: form for form in _FORMS}
"""Every fault by its code, in the catalogue's order."""

__all__ = ["FAULTS", "Choice", "FaultCode", "FaultForm", "Parameter"]
