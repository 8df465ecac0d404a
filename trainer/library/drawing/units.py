"""Lengths and areas in words, in metres or in feet and inches. Everything is stored in metres."""

from __future__ import annotations

import re
from typing import Literal

Units = Literal["m", "ft"]

INCH_M = 0.0254
FOOT_M = 0.3048


def length_words(metres: float, units: str = "m", places: int = 2) -> str:
    """A length as people write it: «2.35 m», or feet and whole inches «7′ 9″»."""
    if units != "ft":
        return f"{metres:.{places}f} m"
    inches = round(abs(metres) / INCH_M)
    sign = "−" if metres < 0 and inches else ""
    feet, rest = divmod(inches, 12)
    return f"{sign}{feet}′ {rest}″" if feet else f"{sign}{rest}″"


def area_words(square_metres: float, units: str = "m", places: int = 1) -> str:
    """An area as people write it: «12.4 m²» or «133 ft²»."""
    if units != "ft":
        return f"{square_metres:.{places}f} m²"
    return f"{square_metres / FOOT_M**2:.0f} ft²"


_MEASURE = re.compile(r"(?<![\w.])(\d+(?:[.,]\d+)?)[ \u00a0](m²|m)(?![\w²])")


_SPOT = re.compile(r"\(x (-?\d+(?:\.\d+)?), y (-?\d+(?:\.\d+)?)\)")
"""How words name a spot of the plan [m]."""


def in_units(text: str, units: str = "m") -> str:
    """Words that were written in metres, as a page says them.

    Every measure is in the asked units; spots are told by the names that the coordinates list has, across and up;
    no line breaks between a number and its unit.
    """

    def turned(match: re.Match[str]) -> str:
        value = float(match[1].replace(",", "."))
        return area_words(value, "ft") if match[2] == "m²" else length_words(value, "ft")

    def spot(match: re.Match[str]) -> str:
        across, up = (length_words(float(match[i]), units, places=1) for i in (1, 2))
        return f"({across} across, {up} up the plan)"

    told = _SPOT.sub(spot, text)
    return kept_together(_MEASURE.sub(turned, told) if units == "ft" else told)


_BREAKABLE = re.compile(r"(?<=\d) (?=(?:m²|m|%|ft²)(?!\w))|(?<=′) (?=\d+″)")


def kept_together(text: str) -> str:
    """The words with a no-break space between each number and its unit."""
    return _BREAKABLE.sub("\u00a0", text)


_IMPERIAL = re.compile(r"(-)?(\d+(?:\.\d+)?) ?(?:'|ft|feet) ?(?:(\d+(?:\.\d+)?) ?(?:\"|in|inches)?)?")
_INCHES = re.compile(r"(-)?(\d+(?:\.\d+)?) ?(?:\"|in|inches)")
_BARE = re.compile(r"(-?\d+(?:\.\d+)?) ?(m)?")


def read_length(text: str, units: str = "m") -> float:
    """Metres from what somebody typed: 2.5, 2,5, 2.5 m, 7' 9", 7 ft 9 in; a bare figure is in ``units``.

    Raises ValueError with words for the person.
    """
    plain = text.strip().replace(",", ".").replace("−", "-")
    plain = re.sub("[′’]", "'", re.sub("[″”]", '"', plain))
    if len(plain) <= 20:
        if match := _IMPERIAL.fullmatch(plain):
            metres = float(match[2]) * FOOT_M + float(match[3] or 0) * INCH_M
            return -metres if match[1] else metres
        if match := _INCHES.fullmatch(plain):
            metres = float(match[2]) * INCH_M
            return -metres if match[1] else metres
        if match := _BARE.fullmatch(plain):
            return float(match[1]) * (FOOT_M if units == "ft" and not match[2] else 1.0)
    raise ValueError(f"“{text[:20]}” is not a length; write 2.5 or 8′ 2″")
