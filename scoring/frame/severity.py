"""Numbers of a frame to what it deserves: keep, either, or redo, for each quantity and for the whole.

    Numbers (measured) + FrameBands (house standard)  --judge-->  Severity (a rating for each quantity, a verdict)

Nothing is measured here, and no limit stands here. "either" means that both answers are right: it is never graded
one way. The whole is as bad as its worst quantity.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, fields, replace

from scoring.standard import Band, Bands, FrameBands, Verdict

_ORDER: dict[Verdict, int] = {"keep": 0, "either": 1, "redo": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """What is measured on one frame, one number for each quantity of `FrameBands`; units in the names.

    None: it could not be measured on this frame, so it has no say.
    """

    doubling_deg: float | None = 0.0
    horizon_step_deg: float | None = 0.0
    tilt_deg: float | None = 0.0
    veil_share: float | None = 0.0
    clipped_share: float | None = 0.0
    crushed_share: float | None = 0.0
    dark_ev: float | None = 0.0
    blur_deg: float | None = 0.0
    exposure_step_ev: float | None = 0.0
    colour_step_mired: float | None = 0.0
    missing_deg: float | None = 0.0
    repeated_deg: float | None = 0.0
    copies_count: float | None = 0.0
    ghost_share: float | None = 0.0
    lens_height_off_m: float | None = 0.0
    shadow_ratio: float | None = 0.0
    blocked_share: float | None = 0.0
    self_count: float | None = 0.0
    crescent_share: float | None = 0.0


@dataclass(frozen=True, slots=True)
class Rating:
    """One quantity of one frame against the house standard."""

    quantity: str
    """Name of a field of `Numbers`; it carries the unit."""
    value: float
    verdict: Verdict
    trip: bool
    words: str
    """How a value of this band looks."""
    limit: float
    """Where the next harder verdict begins; for "redo", where redo began. In the quantity's own unit."""
    share_of_limit: float
    """The value over where redo begins: 1 is the edge of redo. Ranks quantities of different units."""
    share_of_middle: float
    """The value over the middle of what lies between keep and redo, by ratio: 1 is where people turn."""


@dataclass(frozen=True, slots=True)
class Severity:
    """What a frame deserves: the verdict of its worst quantity, and every quantity, worst first."""

    verdict: Verdict
    trip: bool
    """Worth coming back for."""
    ratings: tuple[Rating, ...]

    @property
    def worst(self) -> Rating:
        """The quantity that decides."""
        return self.ratings[0]

    def of(self, quantity: str) -> Rating:
        """The rating of one quantity. Raises KeyError when it was not measured."""
        for rating in self.ratings:
            if rating.quantity == quantity:
                return rating
        raise KeyError(quantity)

    def accepts(self, answer: Verdict) -> bool:
        """Whether "keep" or "redo" is a right answer for this frame: both are when the verdict is "either"."""
        return self.verdict == "either" or answer == self.verdict


def only(numbers: Numbers, quantities: Collection[str]) -> Numbers:
    """Some of the numbers; the others have no say."""
    return replace(numbers, **{field.name: None for field in fields(numbers) if field.name not in quantities})


def judge(numbers: Numbers, bands: FrameBands) -> Severity:
    """What a frame of these numbers deserves under this house standard.

    Raises ValueError for a number below nought or not finite, which no measurement gives, and when nothing was
    measured at all.
    """
    ratings = sorted(_ratings(numbers, bands), key=lambda r: (-_ORDER[r.verdict], not r.trip, -r.share_of_limit))
    if not ratings:
        raise ValueError("nothing was measured")
    return Severity(ratings[0].verdict, any(rating.trip for rating in ratings), tuple(ratings))


def worst_of(verdicts: Iterable[Verdict]) -> Verdict:
    """The hardest of some verdicts. Raises ValueError for none."""
    return max(verdicts, key=_ORDER.__getitem__)


def rate(quantity: str, value: float, bands: Bands) -> Rating:
    """One measured value, in the unit of its bands, against them. Raises ValueError for one that no band holds."""
    for band in bands:
        if band.holds(value):
            redo_from = _start(bands, "redo")
            middle = math.sqrt(_start(bands, "either") * redo_from)
            return Rating(
                quantity=quantity,
                value=value,
                verdict=band.verdict,
                trip=band.trip,
                words=band.words,
                limit=_next_edge(bands, band),
                share_of_limit=value / redo_from if redo_from > 0.0 else float(value > 0.0),
                share_of_middle=value / middle if middle > 0.0 else float(value > 0.0),
            )
    raise ValueError(f"{quantity} of {value} is no measurement")


def _ratings(numbers: Numbers, bands: FrameBands) -> Iterator[Rating]:
    for field in fields(numbers):
        value = getattr(numbers, field.name)
        if value is not None:
            yield rate(field.name, value, getattr(bands, field.name))


def _start(bands: Bands, verdict: Verdict) -> float:
    """Where the first band of at least this verdict begins; infinite when there is none."""
    return min((band.at_least for band in bands if _ORDER[band.verdict] >= _ORDER[verdict]), default=float("inf"))


def _next_edge(bands: Bands, band: Band) -> float:
    harder: Verdict = "either" if band.verdict == "keep" else "redo"
    return _start(bands, harder)


__all__ = ["Numbers", "Rating", "Severity", "judge", "only", "rate", "worst_of"]
