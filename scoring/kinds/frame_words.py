"""The words of a frame's grade. Every sentence carries a number or name of its own case, so no two cases read alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scoring.frame.lookalikes import between
from scoring.frame.severity import Rating
from scoring.kinds.causes import CAUSES, NOTHING
from scoring.kinds.words import start

QUANTITIES: dict[str, tuple[str, str, float]] = {
    "doubling_deg": ("Doubling at a seam", "°", 1.0),
    "horizon_step_deg": ("Step of the horizon at a seam", "°", 1.0),
    "tilt_deg": ("Tilt of the whole frame", "°", 1.0),
    "veil_share": ("Contrast lost to haze", "%", 100.0),
    "clipped_share": ("Flat white", "%", 100.0),
    "crushed_share": ("Flat black", "%", 100.0),
    "dark_ev": ("Darker than middle grey", "EV", 1.0),
    "blur_deg": ("Width of a sharp edge", "°", 1.0),
    "exposure_step_ev": ("Exposure step between headings", "EV", 1.0),
    "colour_step_mired": ("Colour step between headings", "mired", 1.0),
    "missing_deg": ("Sector missing", "°", 1.0),
    "repeated_deg": ("Sector shown twice", "°", 1.0),
    "copies_count": ("Copies at seams", "", 1.0),
    "self_count": ("The set-up in a mirror", "", 1.0),
    "ghost_share": ("Ghosts between exposures", "%", 100.0),
    "lens_height_off_m": ("Lens off its height", "m", 1.0),
    "shadow_ratio": ("Shadow length over height", "", 1.0),
    "blocked_share": ("Hidden by the set-up", "%", 100.0),
    "crescent_share": ("Shaded by the lens edge", "%", 100.0),
}
"""Title, unit shown and factor of each quantity of the house standard's bands."""


def number(quantity: str, value: float) -> str:
    """A measured value with its unit, as people read it."""
    _, unit, factor = QUANTITIES[quantity]
    shown = value * factor
    digits = 0 if quantity in {"copies_count", "self_count"} else 2 if shown < 10.0 else 1
    text = f"{shown:.{digits}f}"
    return f"{text}{unit}" if unit == "°" else f"{text} {unit}".rstrip()


def direction(azimuth_deg: float, elevation_deg: float) -> str:
    """Where in a frame, as its margin counts."""
    up = f"{elevation_deg:+.0f}".replace("-", "\u2212").replace("+0", "0").replace("\u22120", "0")
    round_ = f"{azimuth_deg:+.0f}".replace("-", "\u2212").replace("+0", "0").replace("\u22120", "0")
    return f"azimuth {round_}°, elevation {up}°"


@dataclass(frozen=True, slots=True)
class Facts:
    """What the sentences of one case are made of."""

    room: str
    """In mid-sentence: "the kitchen"."""
    spot: str
    """Where the station stands: "(x 3.1, y 2.0)"."""
    headings: int
    worst: Rating
    where: str
    """Direction of the worst place; "" when it is nowhere in particular."""
    away_m: float | None
    """How far the thing there is."""
    values: Mapping[str, float | str]
    """Of the fault that was put in, for the first fix."""

    @property
    def value(self) -> str:
        """The deciding number."""
        return number(self.worst.quantity, self.worst.value)

    @property
    def limit(self) -> str:
        """The limit that it is held against."""
        return number(self.worst.quantity, self.worst.limit)

    @property
    def at(self) -> str:
        """ " at azimuth 20°, elevation 5°, 0.9 m away", or less where less is known."""
        away = "" if self.away_m is None else f", {self.away_m:.1f} m away"
        return f" at {self.where}{away}" if self.where else f" in {self.room}"

    def size(self, name: str) -> float:
        """A number of the fault, without its sign; 0 when there is none of that name."""
        value = self.values.get(name, 0.0)
        return abs(value) if not isinstance(value, str) else 0.0

    def minus(self, name: str) -> bool:
        """Whether a number of the fault is below 0."""
        value = self.values.get(name, 0.0)
        return not isinstance(value, str) and value < 0.0


def found(code: str, facts: Facts) -> str:
    """What it is, how large it was measured, and why it comes about."""
    cause = CAUSES[code]
    title = QUANTITIES[facts.worst.quantity][0].lower()
    if code == NOTHING:
        return (
            f"Nothing that matters in {facts.room} at {facts.spot}: the worst is {title} of {facts.value}, "
            f"and {facts.limit} is where it would begin to matter."
        )
    return f"{cause.title}: {title} of {facts.value}{facts.at}, because {cause.why}."


def unlike(code: str, other: str, facts: Facts) -> str:
    """Why it is not that other cause, from what tells the two apart; "" when the table has nothing on the pair."""
    told = between(code, other)
    if not told:
        return ""
    ask, mine, theirs = told[0]
    return (
        f"With {facts.value}{facts.at}, ask: {small(ask.ask)} Here in {facts.room}: {small(mine.words)}, not "
        f"“{small(theirs.words)}”, as with {small(CAUSES[other].title)}."
    )


def small(words: str) -> str:
    """The words with their first letter small, as in mid-sentence."""
    return words[:1].lower() + words[1:]


def titled(quantity: str) -> str:
    """The title of a quantity."""
    return start(QUANTITIES[quantity][0])


__all__ = ["QUANTITIES", "Facts", "direction", "found", "number", "small", "titled", "unlike"]
