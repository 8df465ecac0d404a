"""What can be wrong with a frame, as a person chooses it: causes in words, what decides between them, who looks alike.

Codes are those of the fault catalogue in scoring.frame.faults; pages show the words. Families, looks and cues are
common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scoring.frame.faults import FAULTS
from scoring.kinds.words import start

NOTHING = "N0"
"""The choice for a frame that is right as it is, or whose fault is below what matters."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause that a person can name."""

    code: str
    title: str
    family: str
    """Causes of one family are mended in the same part of the kit or the room."""
    why: str
    """How it comes about, in a half sentence after "because"."""


_CAUSES: dict[str, tuple[str, str]] = {
    "F1": ("lens place", "the lens turns on a circle, not on the spot"),
    "F2": ("lens place", "the lens swings sideways as the head turns"),
    "F3": ("straightness", "the phone is askew, by as much in every heading"),
    "F4": ("level", "the tripod stands out of level"),
    "F5": ("support", "the feet were pushed or settled between two headings"),
    "F6": ("support", "something under the head gives, a little differently each time"),
    "F7": ("support", "the head does not turn by what its scale says"),
    "F8": ("spin", "the head stopped before it had come all the way round"),
    "F9": ("straightness", "the lens sits off the middle of the camera"),
    "F10": ("glass", "a film on the glass scatters light at one place of it"),
    "F11": ("glass", "cold glass gathered dew from warm air"),
    "F12": ("glass", "a bright source shines into the lens in some headings"),
    "F13": ("sharpness", "the focus or the stand had not settled"),
    "F14": ("exposure", "it was metered on something too bright or too dark"),
    "F15": ("exposure", "it was not locked, or the light changed"),
    "F16": ("moving", "somebody was in more than one heading"),
    "F17": ("moving", "the exposures of one heading do not agree"),
    "F18": ("hour", "the sun stood low"),
    "F19": ("set-up", "the set-up itself is in the picture, or too low"),
}

CAUSES: dict[str, Cause] = {
    **{code: Cause(code, start(FAULTS[code].title), *rest) for code, rest in _CAUSES.items()},
    NOTHING: Cause(NOTHING, "Nothing that matters", "nothing", "all that can be measured is within the house standard"),
}

CUES: dict[str, str] = {
    "near-sideways": "Near things double sideways at every seam; far things meet",
    "near-height": "Near floor and tables step in height at every seam; edges at eye level meet",
    "teeth": "Level lines step up or down at every seam by the same, near and far, at eye level too",
    "scallops": "The horizon runs in scallops with a cusp at each seam",
    "wave": "One smooth wave all round, no steps; jambs lean one way here and the other way opposite",
    "one-and-closing": "One seam and the closing one are off; near things more than far; the rest is clean",
    "irregular": "Seams are off by different amounts, up-down too, near and far alike",
    "all-heights": "Sideways by the same at all heights, near and far alike",
    "sector": "A whole sector, as wide as a heading, is missing, repeated or squeezed",
    "crescent": "The same dark crescent and soft side in every heading",
    "same-patch": "A hazy patch at the same place of each heading, clear between",
    "fading": "Haze everywhere and halos on all lights, weaker in the later headings",
    "toward-source": "Haze toward a bright source only; gone with the back to it",
    "no-detail": "Fine detail is gone in every direction; blacks stay deep, nothing is doubled",
    "smear": "Fine detail is smeared along the horizon only",
    "flat-white": "Large parts are flat white without detail; seams are fine",
    "near-black": "The room is near black and noisy; seams are fine",
    "band": "Brightness or colour changes at a seam, but lines meet across it",
    "copies": "A solid copy or a cut body at a seam; the background meets",
    "see-through": "See-through copies of one moving thing inside a heading",
    "long-shadows": "Long, sharp, parallel shadows and sun patches, whatever the seams",
    "low-line": "Things much lower than the lens should be stand on the eye-level line",
    "blob": "The same dark blob at the same place of every heading",
    "own-image": "The set-up stands in a mirror, once and sharp",
    "clean": "Lines meet at every seam near and far, the horizon is straight, blacks are black",
}
"""What decides, by name: the choices for "what tells you so"."""

CUES_OF: dict[str, tuple[str, ...]] = {
    "F1": ("near-sideways",),
    "F2": ("near-height",),
    "F3": ("teeth", "scallops"),
    "F4": ("wave",),
    "F5": ("one-and-closing",),
    "F6": ("irregular",),
    "F7": ("all-heights",),
    "F8": ("sector",),
    "F9": ("crescent",),
    "F10": ("same-patch",),
    "F11": ("fading",),
    "F12": ("toward-source",),
    "F13": ("no-detail", "smear"),
    "F14": ("flat-white", "near-black"),
    "F15": ("band",),
    "F16": ("copies",),
    "F17": ("see-through",),
    "F18": ("long-shadows",),
    "F19": ("low-line", "blob", "own-image"),
    NOTHING: ("clean",),
}
"""The cues that can decide for each cause; which of them is there depends on the case."""

LIES_WITH: dict[str, str] = {
    "lens place": "where the lens stands over the turning axis",
    "straightness": "how straight phone and lens sit",
    "level": "how level the tripod stands",
    "support": "what carries the head, from feet to joints",
    "spin": "the run of the spin",
    "glass": "the glass and what shines on it",
    "sharpness": "focus and stillness",
    "exposure": "exposure and colour",
    "moving": "what moved in the room",
    "hour": "the hour and the sun",
    "set-up": "the height of the set-up and what it brings into the picture",
}
"""What the causes of a family have in common, in mid-sentence; nothing wrong lies with nothing."""

LookName = Literal["doubled", "hazy", "slanted", "bright-and-dark", "missing-or-twice"]

LOOKS: dict[LookName, tuple[str, ...]] = {
    "doubled": ("F1", "F2", "F3", "F5", "F6", "F7", "F9", "F16", NOTHING),
    "hazy": ("F9", "F10", "F11", "F12", "F13", NOTHING),
    "slanted": ("F3", "F4", "F6", "F9", NOTHING),
    "bright-and-dark": ("F9", "F12", "F14", "F15", "F18", NOTHING),
    "missing-or-twice": ("F5", "F7", "F8", "F16", "F17", "F19", NOTHING),
}
"""Causes that look alike at first sight: the choices of one case, in this order."""

PAIRS: tuple[tuple[str, str], ...] = (
    ("F1", "F2"), ("F1", "F7"), ("F2", "F3"), ("F2", "F4"), ("F3", "F4"), ("F3", "F9"), ("F5", "F6"), ("F5", "F1"),
    ("F6", "F7"), ("F10", "F11"), ("F10", "F12"), ("F11", "F12"), ("F9", "F13"), ("F13", "F11"), ("F14", "F15"),
    ("F12", "F14"), ("F15", "F7"), ("F16", "F17"), ("F16", "F5"),
)  # fmt: skip
"""Pairs that are taken for each other."""


LOOK_OF: dict[str, LookName] = {
    "tilt_deg": "slanted", "horizon_step_deg": "slanted", "veil_share": "hazy", "blur_deg": "hazy",
    "clipped_share": "bright-and-dark", "crushed_share": "bright-and-dark", "dark_ev": "bright-and-dark",
    "exposure_step_ev": "bright-and-dark", "colour_step_mired": "bright-and-dark", "shadow_ratio": "bright-and-dark",
    "crescent_share": "bright-and-dark", "missing_deg": "missing-or-twice", "repeated_deg": "missing-or-twice",
    "copies_count": "missing-or-twice", "ghost_share": "missing-or-twice", "self_count": "missing-or-twice",
    "lens_height_off_m": "missing-or-twice", "blocked_share": "missing-or-twice",
}  # fmt: skip
"""What a frame looks like whose nearest to a limit is that quantity; doubled for all others."""


def family(code: str) -> str:
    """The family of a cause; KeyError when there is no such cause."""
    return CAUSES[code].family


def taken_for(code: str, quantity: str) -> list[str]:
    """The causes that one is taken for, the likeliest first; of nothing, by the quantity that is nearest to a limit."""
    if code == NOTHING:
        return [one for one in LOOKS[LOOK_OF.get(quantity, "doubled")] if one != NOTHING]
    paired = [other for pair in PAIRS if code in pair for other in pair if other != code]
    alike = [other for look in LOOKS.values() if code in look for other in look if other != code]
    return list(dict.fromkeys([*paired, *alike]))


def choice_of(code: str) -> str:
    """The cause that a person should name for a fault of that code: what is below what matters is nothing."""
    return NOTHING if code.startswith("N") else code


__all__ = [
    "CAUSES", "CUES", "CUES_OF", "LIES_WITH", "LOOKS", "NOTHING", "PAIRS", "Cause", "LookName", "choice_of", "family",
    "taken_for",
]  # fmt: skip
