"""What the page of a graded frame shows beside its marks: the kit with the cause, every seam, each number in its bands.

Everything is read from the key of an attempt that has its grade, and from the house standard it was graded by.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from scoring.drill import Json
from scoring.kinds.causes import choice_of
from scoring.kinds.frame_words import QUANTITIES, azimuth
from scoring.kinds.words import in_or_on
from scoring.standard import Bands, Standard
from trainer.drills.models import Attempt
from trainer.library.drawing.kit import draw_kit
from trainer.library.drawing.kit_caption import kit_caption
from trainer.library.drawing.pen import number, tag

SCALE_WIDE = 300.0
SEEN_M = 1000.0
"""What is said to be farther away is the sky."""
IN_ROWS = frozenset({"looked", "seams"})
"""Criteria whose words are a lead and rows."""
VERDICT_WORDS = {"keep": "keep", "either": "keep or redo", "redo": "redo"}


@dataclass(frozen=True, slots=True)
class SeamRow:
    """One seam as the page lists it; degrees of the frame."""

    number: int
    azimuth_deg: float
    elevation_deg: float
    doubling_deg: float | None
    step_deg: float
    away_m: float | None = None
    far_m: float | None = None
    far_deg: float | None = None
    mean_deg: float | None = None

    @property
    def at(self) -> str:
        """Its azimuth in words."""
        return azimuth(self.azimuth_deg).removeprefix("azimuth ")

    @property
    def most(self) -> str:
        """Its greatest doubling, and how far the edge stands that shows it."""
        if self.doubling_deg is None:
            return "no edge there"
        return _doubled(self.doubling_deg, self.away_m)

    @property
    def far(self) -> str:
        """The same of the farthest edge; "" where it is not known."""
        return "" if self.far_deg is None else _doubled(self.far_deg, self.far_m)

    @property
    def mean(self) -> str:
        """Its doubling on average over its area; "" where it is not known."""
        return "" if self.mean_deg is None else f"{self.mean_deg:.2f}°"

    @property
    def label(self) -> str:
        """What its tag in the frame says."""
        return f"seam {self.number}"


def _doubled(by_deg: float, away_m: float | None) -> str:
    return f"{by_deg:.2f}°" + ("" if away_m is None or away_m > SEEN_M else f", {away_m:.1f} m")


@dataclass(frozen=True, slots=True)
class KitPicture:
    """The kit drawn with the cause, and its caption."""

    svg: SafeString
    caption: str


def kit_pictures(attempt: Attempt) -> list[KitPicture]:
    """The kit of a graded attempt, drawn with what was wrong with it; once more where there was a second thing."""
    key = attempt.key
    return [_kit_picture(known) for known in (key["known"], key.get("second")) if known]


def _kit_picture(known: Json) -> KitPicture:
    code, values = choice_of(known["code"]), known["values"]
    svg = mark_safe(draw_kit(code, values))  # noqa: S308 (drawn by our own pen, escaped there)
    return KitPicture(svg, kit_caption(code, values, f"{in_or_on(known['room'])} at {known['spot']}"))


def seam_rows(attempt: Attempt) -> list[SeamRow]:
    """Every seam of the first frame, numbered from its left rim to the right: the one that is doubled most first."""
    found = attempt.key["known"].get("seams", ())
    rows = [
        SeamRow(
            n, seam["azimuth_deg"], seam["elevation_deg"], seam["doubling_deg"], seam["horizon_step_deg"],
            seam.get("away_m"), seam.get("far_m"), seam.get("far_deg"), seam.get("mean_deg"),
        )
        for n, seam in enumerate(sorted(found, key=lambda seam: seam["azimuth_deg"]), 1)
    ]  # fmt: skip
    return sorted(rows, key=lambda row: -1.0 if row.doubling_deg is None else row.doubling_deg, reverse=True)


def seam_spots(rows: list[SeamRow], frame: str) -> list[dict[str, Any]]:
    """Where the seams run, for the view to point at."""
    return [
        {
            "role": "seam", "frame": frame, "azimuth_deg": row.azimuth_deg, "elevation_deg": 0.0, "width_deg": 3.0,
            "height_deg": 50.0, "label": row.label,
        }
        for row in rows
    ]  # fmt: skip


def band_scale(criterion: str, value: float, standard: Standard) -> SafeString:
    """The bands of a quantity as one bar with a tick at the value; empty for what has no bands.

    The bar's length is the square root of the quantity, so that small limits keep room beside large ones.
    """
    quantity = criterion.removeprefix("number-")
    bands: Bands | None = getattr(standard.frames, quantity, None)
    if bands is None:
        return mark_safe("")
    factor = QUANTITIES[quantity][2]
    edges = [band.at_least * factor for band in bands]
    end = max(value * 1.15, edges[-1] * 1.6)

    def at(amount: float) -> float:
        return SCALE_WIDE * math.sqrt(min(amount, end) / end)

    parts = []
    for i, band in enumerate(bands):
        left, right = at(edges[i]), at(edges[i + 1]) if i + 1 < len(bands) else SCALE_WIDE
        parts.append(tag("rect", x=left, y=18.0, width=right - left, height=12.0, class_=f"band {band.verdict}"))
        if i:
            parts.append(tag("text", f"{edges[i]:g}", x=left, y=46.0, text_anchor="middle", class_="edge"))
    x = at(value)
    parts.append(tag("path", d=f"M{number(x)} 12V34M{number(x - 5)} 6H{number(x + 5)}L{number(x)} 13Z", class_="here"))
    label = "; ".join(_band_words(bands, i, factor) for i in range(len(bands)))
    return mark_safe(  # noqa: S308 (numbers and the standard's own verdicts)
        tag(
            "svg",
            "".join(parts),
            viewbox=f"-8 0 {SCALE_WIDE + 16:.0f} 50",
            class_="scale",
            role="img",
            aria_label=label,
        )
    )


def _band_words(bands: Bands, index: int, factor: float) -> str:
    band = bands[index]
    low = f"{band.at_least * factor:g}"
    if band.below is None:
        return f"from {low}: {VERDICT_WORDS[band.verdict]}"
    return f"{low} to {band.below * factor:g}: {VERDICT_WORDS[band.verdict]}"


def with_scales(
    numbers: Sequence[tuple[int, Mapping[str, Any]]], standard: Standard
) -> list[tuple[int, dict[str, Any]]]:
    """The measured numbers, each with its bar."""
    return [
        (n, {**mark, "scale": band_scale(mark["criterion"], float(mark["value"]), standard)}) for n, mark in numbers
    ]


def with_rows(advice: Sequence[tuple[int, Mapping[str, Any]]]) -> list[tuple[int, dict[str, Any]]]:
    """What is told beside the marks; what was looked at in turn, and seams before and after, have a row for each."""
    return [(n, {**mark, **_rows(mark["words"])} if mark["criterion"] in IN_ROWS else dict(mark)) for n, mark in advice]


def _rows(words: str) -> dict[str, Any]:
    lead, _, rows = words.removesuffix(".").partition(": ")
    return {"words": f"{lead}:", "rows": rows.split("; ")}


__all__ = [
    "KitPicture", "SeamRow", "band_scale", "kit_pictures", "seam_rows", "seam_spots", "with_rows", "with_scales",
]  # fmt: skip
