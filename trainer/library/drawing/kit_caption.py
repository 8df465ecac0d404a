"""What is said under the picture of a cause: what it shows, by how much it was off in this case, and where that was.

One sentence with the case's own number and place, so that no two cases read alike.
"""

from __future__ import annotations

from collections.abc import Callable

from trainer.library.drawing.kit import Values, is_drawn, is_one_of, kit_words

Size = Callable[[Values], str]


def kit_caption(code: str, values: Values, where: str) -> str:
    """The caption of a cause with its values, at a place like "in the kitchen at (x 3.1, y 2.0)"."""
    words = kit_words(code, values)
    if not is_drawn(code):
        return f"{words}, or as near to it as matters {where}."
    size, dashed = _size(code, values), _dashed(code, values)
    told = f"{words}, {size}, {where}" if size else f"{words}, {where}"
    return f"{told}; drawn larger than it was, dashed is {dashed}." if dashed else f"{told}; a sketch, not to scale."


def _dashed(code: str, values: Values) -> str:
    """What is drawn dashed; empty where nothing has a place of its own to go back to."""
    if code in _NOTHING_DASHED or (code == "F19" and is_one_of(values, "kind", "finger", "strap")):
        return ""
    if code == "F13":
        return "where it was while it exposed" if is_one_of(values, "kind", "motion") else "where it should be sharp"
    if code == "F19" and is_one_of(values, "kind", "self"):
        return "its image in the mirror"
    return _DASHED.get(code, "where it belongs")


def _size(code: str, values: Values) -> str:
    """By how much it was off; empty where the cause has no size, or nothing is known of it."""
    return next((said for say in _SIZES.get(code, ()) if (said := say(values))), "")


def _by(name: str, form: str, times: float = 1.0) -> Size:
    """Words with a value of that name, without its sign; empty where it is nought or there is none."""

    def say(values: Values) -> str:
        value = values.get(name)
        return form.format(times * abs(value)) if isinstance(value, float | int) and value else ""

    return say


def _height(values: Values) -> str:
    return _by("height_m", "{:.2f} m above the floor")(values) if is_one_of(values, "kind", "height") else ""


_NOTHING_DASHED = frozenset({"F10", "F11", "F12", "F14", "F15", "F16"})
"""Pictures in which nothing has a place of its own to go back to."""

_DASHED = {"F8": "what is missing", "F17": "where it was in another exposure", "F18": "where the sun should stand"}

_SIZES: dict[str, tuple[Size, ...]] = {
    "F1": (_by("offset_mm", "by {:.1f} mm"),),
    "F2": (_by("offset_mm", "by {:.1f} mm"),),
    "F3": (_by("roll_deg", "turned by {:.1f}°"), _by("lean_deg", "leaning by {:.1f}°")),
    "F4": (_by("tilt_deg", "by {:.1f}°"),),
    "F5": (_by("shift_mm", "by {:.0f} mm"),),
    "F6": (_by("rocking_deg", "by up to {:.1f}°"),),
    "F7": (_by("slip_deg", "by {:.1f}° a step"),),
    "F8": (_by("missing", "without {:.0f} at the end"),),
    "F9": (_by("offset_mm", "by {:.1f} mm"), _by("tilt_deg", "by {:.1f}°")),
    "F10": (_by("patch_share", "over {:.0f} % of it", 100.0),),
    "F11": (_by("loss", "taking {:.0f} % of the contrast at first", 100.0),),
    "F12": (_by("veil_share", "veiling what is beside it by {:.0f} %", 100.0),),
    "F13": (_by("blur_deg", "by {:.2f}°"),),
    "F14": (_by("offset_ev", "{:.1f} EV off"),),
    "F15": (_by("step_ev", "by {:.2f} EV"),),
    "F16": (_by("away_m", "{:.1f} m away"),),
    "F17": (_by("shift_deg", "by {:.1f}° each time"),),
    "F18": (_by("sun_deg", "with the sun {:.0f}° high"),),
    "F19": (_height,),
}
"""By how much a cause is off, in words after what its picture shows: the first that has a number."""

__all__ = ["kit_caption"]
