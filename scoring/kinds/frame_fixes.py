"""What to do first about each cause, in the words of the very case: common practice, no source."""

from __future__ import annotations

from collections.abc import Callable

from scoring.kinds.causes import NOTHING
from scoring.kinds.frame_words import Facts, azimuth


def fix(code: str, facts: Facts) -> str:
    """The cheapest thing to do first, in one sentence. KeyError for a code that is no cause."""
    return _FIXES[code](facts)


HIGH_SUN_DEG = 30.0
"""A sun as high as this throws shadows no longer than 1.7 times the height of things; common practice, no source."""
_SIDES = (
    "to the right", "up and to the right", "up", "up and to the left", "to the left", "down and to the left", "down",
    "down and to the right",
)  # fmt: skip
"""Eight ways round a lens seen from behind, from 0 to the right, by eighths, up first."""


def _mm(facts: Facts, name: str = "offset_mm") -> str:
    return f"{facts.size(name):.0f} mm"


def _slid_out_or_back(facts: Facts) -> str:
    way = "forward, toward" if facts.minus("offset_mm") else "back, away from"
    return (
        f"Slide the phone {_mm(facts)} {way} what its lens looks at, so that the lens comes over the axis, then turn "
        f"the head by one heading: a near and a far edge of {facts.room} have to stay lined up, where there is "
        f"{facts.told} now."
    )


def _slid_aside(facts: Facts) -> str:
    way = "right" if facts.minus("offset_mm") else "left"
    return (
        f"Slide the phone {_mm(facts)} to the {way} in its clamp, as you see it from behind, until the lens is over "
        f"the axis, and look at the floor of {facts.room} across one seam again, for {facts.told} is gone then."
    )


def _clamped_square(facts: Facts) -> str:
    if roll_deg := facts.size("roll_deg"):
        way = "counter-clockwise" if facts.minus("roll_deg") else "clockwise"
        off = f"it is turned {roll_deg:.1f}° {way}, seen from behind"
    else:
        way = "forward, its top away from you" if facts.minus("lean_deg") else "back, its top toward you"
        off = f"it leans {facts.size('lean_deg'):.1f}° {way}, when you stand behind it"
    return (
        f"Clamp the phone again, square, for {off}, and check a level line of {facts.room} at a seam, from "
        f"{facts.spot}."
    )


def _levelled(facts: Facts) -> str:
    tilt, toward = facts.size("tilt_deg"), facts.size("toward_deg")
    return (
        f"Level the tripod at {facts.spot}: it leans by {tilt:.1f}° toward {azimuth(toward)}, so raise that side of it "
        f"until the bubble is in the middle."
    )


def _left_alone(facts: Facts) -> str:
    return (
        f"Free the feet and the cable {facts.within}, keep hands off, and spin again from heading 1, for {facts.told} "
        f"says that it moved by {_mm(facts, 'shift_mm')} toward {azimuth(facts.size('toward_deg'))} before heading "
        f"{facts.size('heading'):.0f}."
    )


def _steadied(facts: Facts) -> str:
    return (
        f"Put all feet on the floor of {facts.room} at {facts.spot}, shut every lock and spin again, for the head "
        f"rocked by up to {facts.size('rocking_deg'):.1f}°."
    )


def _tightened(facts: Facts) -> str:
    return (
        f"Tighten the joint under the head by hand, mark it with tape and spin again {facts.within}, for it gave by "
        f"{facts.size('slip_deg'):.1f}° a step, which shows as {facts.told}."
    )


def _from_the_start(facts: Facts) -> str:
    missing = facts.size("missing")
    return (
        f"Charge what ran out and start again from heading 1 at {facts.spot}: {missing:.0f} of {facts.headings} "
        f"headings {'is' if missing == 1.0 else 'are'} not there, and what is finished later cannot match."
    )


def _seated(facts: Facts) -> str:
    side = _SIDES[round(facts.size("toward_deg") / 45.0) % 8]
    if facts.size("offset_mm"):
        off = f"it sits {facts.size('offset_mm'):.1f} mm too far {side}"
    else:
        off = f"it points {facts.size('tilt_deg'):.1f}° {side}"
    return (
        f"Take the lens off and seat it home and square, for {off}, seen from behind, until the bright circle of a raw "
        f"heading of {facts.room}, from {facts.spot}, sits in the middle."
    )


def _wiped(facts: Facts) -> str:
    return (
        f"Blow the grit off first, then wipe with microfibre and look through the lens at a shaded lamp of "
        f"{facts.room}, for there is {facts.told}{facts.here}."
    )


def _waited(facts: Facts) -> str:
    return (
        f"Wait with the kit open {facts.within} rather than wiping again and again: in "
        f"{facts.size('half_life_min'):.1f} minutes half of the fog is gone; now there is {facts.told}."
    )


def _shaded(facts: Facts) -> str:
    return (
        f"Shade the lens with your body, draw the blind of {facts.room}, or move by half a metre, for there is "
        f"{facts.told}{facts.here}; never look or aim at the sun, by eye or through the lens."
    )


def _settled(facts: Facts) -> str:
    if facts.values.get("kind") == "motion":
        return f"Let the head settle before each heading {facts.within}, for there are {facts.told}{facts.here}."
    return f"Tap to focus on something 2 m away {facts.within} and lock it, for there are {facts.told}{facts.here}."


def _metered(facts: Facts) -> str:
    part, tone = ("brightest", "dark") if facts.minus("offset_ev") else ("darkest", "bright")
    return (
        f"Meter on an upper-middle tone of {facts.room}, like a sunlit wall, rather than on its {part} part, lock it "
        f"and spin again: this is {facts.size('offset_ev'):.1f} EV too {tone}, with {facts.told}."
    )


def _locked(facts: Facts) -> str:
    return f"Lock exposure and colour before heading 1 {facts.within}: {facts.told}{facts.here} says they were not."


def _cleared(facts: Facts) -> str:
    who, copies = facts.values.get("who", "person"), facts.size("copies")
    where = "cut at a seam" if copies == 1.0 else "in more than one heading"
    return f"Ask for {facts.room} to be clear and spin again: a {who} is {where}{facts.here}."


def _stilled(facts: Facts) -> str:
    what = facts.values.get("what", "thing")
    return (
        f"Still the {what}{facts.at}, or take a single exposure there: it moved by "
        f"{facts.size('shift_deg'):.1f}° from one exposure to the next."
    )


def _later(facts: Facts) -> str:
    return (
        f"Come back to {facts.room} when the sun is higher than {HIGH_SUN_DEG:.0f}°, or draw the blind: at "
        f"{facts.size('sun_deg'):.0f}° it makes {facts.told}{facts.here}."
    )


def _tidied(facts: Facts) -> str:
    kind = facts.values.get("kind", "height")
    if kind == "height":
        return (
            f"Pull all legs fully out, for the lens stands at {facts.size('height_m'):.2f} m {facts.within} at "
            f"{facts.spot}."
        )
    if kind == "self":
        return f"Move off the mirror's square line {facts.within} until it no longer shows the set-up{facts.here}."
    away = "Tie the strap back" if kind == "strap" else "Keep fingers off the lens"
    return f"{away} and spin again {facts.within}, where there is {facts.told}{facts.here}."


def _left_as_it_is(facts: Facts) -> str:
    return f"Save it and move on from {facts.spot}: redoing {facts.room} would cost minutes and mend nothing."


_FIXES: dict[str, Callable[[Facts], str]] = {
    "F1": _slid_out_or_back,
    "F2": _slid_aside,
    "F3": _clamped_square,
    "F4": _levelled,
    "F5": _left_alone,
    "F6": _steadied,
    "F7": _tightened,
    "F8": _from_the_start,
    "F9": _seated,
    "F10": _wiped,
    "F11": _waited,
    "F12": _shaded,
    "F13": _settled,
    "F14": _metered,
    "F15": _locked,
    "F16": _cleared,
    "F17": _stilled,
    "F18": _later,
    "F19": _tidied,
    NOTHING: _left_as_it_is,
}

__all__ = ["fix"]
