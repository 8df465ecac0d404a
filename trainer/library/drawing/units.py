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


def in_units(text: str, units: str = "m") -> str:
    """Words that were written in metres, with every measure in them turned into the asked units."""
    if units != "ft":
        return text

    def turned(match: re.Match[str]) -> str:
        value = float(match[1].replace(",", "."))
        return area_words(value, "ft") if match[2] == "m²" else length_words(value, "ft")

    return _MEASURE.sub(turned, text)
