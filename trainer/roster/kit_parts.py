"""Parts of a kit: which of them differ between two kits, which skills hang on them, what is gone through by hand.

A kit's number or word   belongs to   a part   is named by   the skills of the map
headings                              rotator                A2 A3 B1 V3
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from operator import attrgetter

from scoring.rig.kit import Kit
from trainer.library.skills import skill_map

PARTS = ("tripod", "rotator", "clamp", "phone", "lens", "battery")
"""Every part, from the floor up; the skill map names no other."""

FIELDS: dict[str, tuple[str, str, str]] = {
    "lens_height_m": ("tripod", "height of the lens", "m"),
    "leg_circle_m": ("tripod", "circle of the feet", "m"),
    "headings": ("rotator", "headings in a spin", ""),
    "clamp": ("clamp", "clamp", ""),
    "mast_radius_m": ("clamp", "half the width of head, clamp and phone", "m"),
    "camera_place": ("phone", "where the camera sits", ""),
    "pupil_forward_mm": ("phone", "pupil ahead of the axis before it is set", "mm"),
    "pupil_side_mm": ("phone", "pupil to the right of the axis before it is set", "mm"),
    "lens.mount": ("lens", "mount", ""),
    "lens.projection": ("lens", "projection", ""),
    "lens.field_deg": ("lens", "field", "°"),
    "lens.pupil_travel_mm": ("lens", "travel of the pupil", "mm"),
    "lens.circle_mm": ("lens", "radius of the picture of the half sphere", "mm"),
    "battery.rotator_hours": ("battery", "hours of the rotator", "h"),
    "battery.phone_drain_share_per_hour": ("battery", "share that the phone uses in an hour", ""),
    "battery.bank_mah": ("battery", "power bank", "mAh"),
}
"""Field of a kit -> (part, words, unit)."""

BY_HAND: dict[str, tuple[str, ...]] = {
    "tripod": (
        "Legs fully out and locked, all feet firm, on a hard floor and on carpet.",
        "Height of the lens measured, and the same again after setting up anew.",
        "Set up where nobody trips over it, and no way out is blocked.",
    ),
    "rotator": (
        "Says how many headings one spin has, and counts them in a full turn.",
        "The level stays centred through the full turn.",
    ),
    "clamp": (
        "Phone square to the axis, neither rolled nor leaning.",
        "Every joint tight by hand; nothing slips in a full turn.",
    ),
    "phone": (
        "Lens over the axis in both directions, found with two edges on this very phone.",
        "Shows how exposure and colour are locked.",
        "Nothing lifts the phone: no case, no ring, no film.",
    ),
    "lens": (
        "Lens fully home, square and centred.",
        "Glass looked through against a shaded lamp, never against the sun; grit off first, then microfibre.",
    ),
    "battery": (
        "Everything full; says how many spins one fill gives, with a reserve.",
        "Right cable, hard surface, between 0 and 40 °C.",
        "At smell, swelling, heat or noise: stop, move away if it is safe, call for help.",
    ),
}  # fmt: skip
"""What a trainer goes through with the person, without photos; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs between two kits."""

    part: str
    words: str


def differences(old: Kit, new: Kit) -> tuple[Difference, ...]:
    """What differs between two kits, part by part; names and notes do not count."""
    out = []
    for path, (part, words, unit) in FIELDS.items():
        before, after = attrgetter(path)(old), attrgetter(path)(new)
        if before != after:
            said = f"{words}: {_told(before, unit)} → {_told(after, unit)}"
            out.append(Difference(part, said))
    return tuple(out)


def changed_parts(old: Kit, new: Kit) -> tuple[str, ...]:
    """The parts that differ between two kits, in order."""
    found = {difference.part for difference in differences(old, new)}
    return tuple(part for part in PARTS if part in found)


def _told(value: object, unit: str) -> str:
    text = f"{value:g}".replace("-", "\u2212") if isinstance(value, int | float) else str(value).rstrip(".")
    return f"{text} {unit}" if unit and unit != "°" else f"{text}{unit}"


@cache
def skills_on(part: str) -> tuple[str, ...]:
    """Codes of the skills that hang on a part."""
    return tuple(code for code, skill in skill_map().items() if part in skill["kit_parts"])


def skills_due(parts: Iterable[str]) -> tuple[str, ...]:
    """Codes of the starred skills that a change of these parts makes due, in the order of the map."""
    codes = {code for part in parts for code in skills_on(part)}
    return tuple(code for code, skill in skill_map().items() if code in codes and skill["star"])


@dataclass(frozen=True, slots=True)
class HandLine:
    """One line of the list that a trainer goes through by hand."""

    name: str
    """Name of its box in the form."""
    part: str
    words: str


def hand_list(parts: Iterable[str]) -> tuple[HandLine, ...]:
    """The lines for these parts, in order."""
    asked = set(parts)
    return tuple(
        HandLine(f"{part}-{number}", part, words)
        for part in PARTS
        if part in asked
        for number, words in enumerate(BY_HAND[part], 1)
    )


__all__ = [
    "BY_HAND", "FIELDS", "PARTS", "Difference", "HandLine", "changed_parts", "differences", "hand_list", "skills_due",
    "skills_on",
]  # fmt: skip
