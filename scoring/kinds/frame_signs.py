"""What tells in this very frame: each place of a repeat, edges near and far at the seams, and what was looked at.

Told with a grade, not weighed, for those who cannot tell look-alikes apart yet: a cause is known by where it comes
again and by how it goes with distance, and "nothing" by everything that was looked at in turn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from scoring.drill import Mark, Spot
from scoring.frame.measure_plain import SPAN_MIN_LEVELS, Shown
from scoring.frame.probe import FAR_M
from scoring.frame.severity import Severity, rate
from scoring.kinds.causes import NOTHING
from scoring.kinds.frame_key import Known, SeamFound
from scoring.kinds.frame_words import Facts, azimuth, direction, leans, number, told
from scoring.kinds.words import counted, listed, start
from scoring.standard import Standard

SAME_DEG = 1.0
"""Places that are no farther than this off equal steps are at equal steps."""
FAR_TIMES = 1.5
"""What stands so many times as far away is far beside what is near ..."""
LESS = 0.5
"""... and what is doubled by less than this share of it is hardly doubled beside it."""
WHOLE_FROM_M = 10.0
"""From here on a distance is told in whole metres."""
AS_MUCH = 0.7
"""What is off by more than this share is off as much."""

LOOKED_AT: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("at the seams", ("doubling_deg", "horizon_step_deg")),
    ("from heading to heading", ("exposure_step_ev", "colour_step_mired")),
    ("along level lines and jambs", ("tilt_deg", "lens_height_off_m")),
    ("in blacks and fine detail", ("veil_share", "blur_deg", "crescent_share", "blocked_share")),
    ("at windows and shadows", ("clipped_share", "crushed_share", "dark_ev", "shadow_ratio")),
    (
        "for what is missing or there twice",
        ("missing_deg", "repeated_deg", "copies_count", "ghost_share", "self_count"),
    ),
)
"""What one looks at in a frame, in turn, and the quantities that tell it."""


def sign_marks(known: Known, facts: Facts, standard: Standard) -> Iterator[Mark]:
    """What tells in this frame; nothing of it where the key of an older case does not know."""
    if known.choice == NOTHING:
        yield _sign("looked", "What was looked at", _looked(known, facts, known.severity(standard)))
        yield from _rim(known, facts)
        return
    if known.haze is not None:
        where = " in the merged frame" if facts.alone else ""
        yield _sign("haze", f"How to see the haze{where}", _greyed(known.haze, facts), known.spots[:1])
    if known.uprights:
        at = known.spots[: len(known.uprights)]
        yield _sign("uprights", "How to see the tilt", _leaning(known, facts), at)
    again = repeated(known, facts)
    if again:
        yield _sign("again", "Where it comes again", _again(known, facts, again), again)
    elif words := _once(known, facts):
        yield _sign("again", "Where it does not come again", words)
    if words := _at_seams(known, facts, standard):
        yield _sign("near-far", "Near and far at the seams", words)
        yield from _rim(known, facts)


def _greyed(haze: Shown, facts: Facts) -> str:
    """What the haze does to dark and light where it is plainest, against a clean lens."""
    (dark, light), (now_dark, now_light) = haze.clean_levels, haze.seen_levels
    at = direction(haze.azimuth_deg, haze.elevation_deg)
    left = f"of {light - dark:.0f} levels between them {max(now_light - now_dark, 0.0):.0f} are left"
    if light - dark < SPAN_MIN_LEVELS:
        return f"The haze lies where {facts.room} is bare, which hides it: dark and light are near at {at}, and {left}."
    beside = f"instead of {light:.0f}" if round(light) != round(now_light) else "as through a clean lens"
    return (
        f"Look where {facts.room} is dark and has detail: at {at} dark tones stand at {now_dark:.0f} instead of "
        f"{dark:.0f} (0 is black, 255 white) and light ones at {now_light:.0f} {beside}, so that {left}; on a bare "
        "wall nobody would see that."
    )


def _leaning(known: Known, facts: Facts) -> str:
    """How far long uprights lean, and which way, on one side and on the other."""
    first, *others = known.uprights
    words = (
        f"At {azimuth(first.azimuth_deg)} an edge of {facts.room} that should stand plumb, {first.long_deg:.0f}° long, "
        f"leans {leans(first.lean_deg)}"
    )
    for other in others:
        words += f", and at {azimuth(other.azimuth_deg)} one of {other.long_deg:.0f}° leans {leans(other.lean_deg)}"
    if known.code == "F4":
        toward = facts.size("toward_deg")
        words += (
            f"; half-way between uprights look plumb, and the horizon is highest at {azimuth(toward)} and lowest "
            f"opposite: one way here and the other way there is a tripod out of level"
        )
    return f"{words}."


def _sign(criterion: str, title: str, words: str, spots: Sequence[Spot] = ()) -> Mark:
    return Mark(criterion, title, 1.0, 0.0, None, None, "", words, "", spots=tuple(spots))


def shown_spots(known: Known, facts: Facts) -> tuple[Spot, ...]:
    """The places that a grade points at: the worst few, then the rest of a repeat."""
    there = {_place(spot) for spot in known.spots}
    rest = [spot for spot in repeated(known, facts) if _place(spot) not in there]
    first = len(known.spots) + 1
    return (*known.spots, *(replace(spot, label=str(number)) for number, spot in enumerate(rest, first)))


def _place(spot: Spot) -> tuple[float, float]:
    return spot.azimuth_deg, spot.elevation_deg


def repeated(known: Known, facts: Facts) -> tuple[Spot, ...]:
    """The places of what sits on the lens, one for each heading, the worst first; none when it does not repeat."""
    if not _on_the_lens(facts):
        return ()
    step_deg = 360.0 / known.headings
    for first in known.places:
        group = [
            place
            for place in known.places
            if abs(place.elevation_deg - first.elevation_deg) <= SAME_DEG and place.width_deg == first.width_deg
            and _off_deg(place.azimuth_deg - first.azimuth_deg, step_deg) <= SAME_DEG
        ]  # fmt: skip
        at_seams = any(_off_deg(first.azimuth_deg - seam.azimuth_deg, 360.0) <= SAME_DEG for seam in known.seams)
        if len(group) == known.headings and not at_seams:
            return tuple(group)
    return ()


def _off_deg(turn_deg: float, step_deg: float) -> float:
    """How far a turn is off a whole number of steps."""
    return abs((turn_deg + 0.5 * step_deg) % step_deg - 0.5 * step_deg)


def _on_the_lens(facts: Facts) -> str:
    """What is at the same place of each heading, in mid-sentence; "" for nothing."""
    read = facts.signature
    if read is None:
        return ""
    if read.veil == "same place":
        return "the haze"
    if read.crescent:
        return "the dark edge"
    return "the dark blob" if read.shadows == "fixed" else ""


def _again(known: Known, facts: Facts, again: Sequence[Spot]) -> str:
    what = _on_the_lens(facts)
    return (
        f"In the frame of {facts.room} {what} stands at {_round([spot.azimuth_deg for spot in again])}, "
        f"{counted(len(again), 'time')} in {counted(known.headings, 'heading')} and always "
        f"{360.0 / known.headings:.0f}° apart: that equal step is the sign of something on the lens, or held before "
        "it, which turns with the phone; a thing of the room would stand there once."
    )


def _round(azimuths_deg: Sequence[float]) -> str:
    """ "azimuth −132°, −42°, +48° and +138°", from the left rim of the frame to its right one."""
    around = sorted(180.0 - (180.0 - at) % 360.0 for at in azimuths_deg)
    return f"azimuth {listed([azimuth(at).removeprefix('azimuth ') for at in around])}"


def _once(known: Known, facts: Facts) -> str:
    """That haze toward a source is not at the same place of the other headings."""
    read = facts.signature
    if read is None or read.veil != "toward a source" or facts.azimuth_deg is None:
        return ""
    step_deg = 360.0 / known.headings
    others = [facts.azimuth_deg + step_deg * i for i in range(1, known.headings)]
    return (
        f"{start(facts.within)} there is {facts.told}{facts.here}, toward what shines into the lens; with something on "
        f"the lens there would be as much at {_round(others)} too, {step_deg:.0f}° apart."
    )


def _at_seams(known: Known, facts: Facts, standard: Standard) -> str:
    """How the doubling of still things goes with distance, seam by seam, worst first."""
    read = facts.signature
    seams = sorted([seam for seam in known.seams if seam.away_m is not None], key=_doubling_deg, reverse=True)
    if read is None or not seams or known.numbers.doubling_deg is None:
        return ""
    bands = standard.frames.doubling_deg
    off = [seam for seam in seams if rate("doubling_deg", _doubling_deg(seam), bands).verdict != "keep"]
    quiet = [seam for seam in seams if seam not in off]
    if read.still_things and off:
        parts = [f"Worst first, {facts.within}: {_listed_seams(off)}.", _law(facts, off)]
        if quiet:
            parts.append(_quiet(facts, quiet, off[0], everywhere=read.repeat == "all"))
        return " ".join(part for part in parts if part)
    if known.code == "F16" and not off:
        nearest = min(seams, key=lambda one: one.near_m or FAR_M)
        return (
            f"Still things of {facts.room} meet at every seam, from {facts.spot}: {_deg(seams[0])} at most, though an "
            f"edge stands {away_words(nearest.near_m)} away at {azimuth(nearest.azimuth_deg)}."
        )
    return ""


def _rim(known: Known, facts: Facts) -> Iterator[Mark]:
    """How to see the seam that the frame, laid flat, is cut along; nothing where it is cut between seams."""
    if any(_off_deg(seam.azimuth_deg - 180.0, 360.0) <= SAME_DEG for seam in known.seams):
        words = (
            f"One of the {len(known.seams)} seams of {facts.room}, from {facts.spot}, is where the frame is cut to lie "
            "flat: hold its left rim against its right one, or turn the view there."
        )
        yield _sign("rim", "The seam at the rim", words)


def _listed_seams(seams: Sequence[SeamFound]) -> str:
    rows = []
    for i, seam in enumerate(seams):
        at = azimuth(seam.azimuth_deg).removeprefix("azimuth " if i else "")
        row = f"{_deg(seam)} on an edge {away_words(seam.away_m)} away at {at}"
        weak = _doubling_deg(seam) < LESS * _doubling_deg(seams[0])
        if weak and (seam.near_m or 0.0) >= (seams[0].away_m or 0.0) * FAR_TIMES:
            row += ", where none stands nearer"
        rows.append(row)
    return "; ".join(rows)


def _law(facts: Facts, off: Sequence[SeamFound]) -> str:
    """An edge near by beside one far off, where the two say how doubling goes with distance."""
    law = facts.signature.distance_law if facts.signature else "n/a"
    if law == "inverse":
        near, far = off[0], max(off, key=lambda one: one.far_m or 0.0)
    else:  # each seam is off by an amount of its own: within one alone can distance be told
        apart = [one for one in off if (one.far_m or 0.0) >= FAR_TIMES * (one.away_m or FAR_M)]
        near = far = max(apart or off, key=lambda one: (one.far_deg or 0.0) / _doubling_deg(one))
    if near.away_m is None or far.far_m is None or far.far_deg is None or far.far_m < FAR_TIMES * near.away_m:
        return ""
    beside = (
        f"An edge {away_words(near.away_m)} away is off by {_deg(near)}, one {away_words(far.far_m)} away, at "
        f"{azimuth(far.azimuth_deg)}, by {far.far_deg:.2f}°"
    )
    if law == "inverse" and far.far_deg <= LESS * _doubling_deg(near):
        return f"{beside}: the nearer a thing stands, the more it is doubled."
    if law == "none" and far.far_deg >= AS_MUCH * _doubling_deg(near):
        return f"{beside}: far things are off as much as near ones."
    return ""


def _quiet(facts: Facts, quiet: Sequence[SeamFound], worst: SeamFound, everywhere: bool) -> str:
    """Why the other seams show nothing: for want of something near, or although something near is there."""
    nearest = min(quiet, key=lambda one: one.near_m or FAR_M)
    far = (nearest.near_m or FAR_M) > FAR_TIMES * (worst.away_m or 0.0)
    if far or everywhere:
        at = listed([azimuth(seam.azimuth_deg).removeprefix("azimuth ") for seam in quiet])
        return (
            f"At azimuth {at} no edge stands nearer than {away_words(nearest.near_m)}, so next to nothing is doubled "
            f"there {facts.within} ({_deg(quiet[0])} at most)."
        )
    return (
        f"At {azimuth(nearest.azimuth_deg)} lines of {facts.room} meet ({_deg(nearest)}) though an edge stands "
        f"{away_words(nearest.near_m)} away, which a lens off the axis would double there as well."
    )


def _looked(known: Known, facts: Facts, severity: Severity) -> str:
    """Every sign in turn, each with what comes nearest to mattering and where that would begin."""
    rows = []
    for where, quantities in LOOKED_AT:
        # Worst first, as the ratings are.
        found = [rating for rating in severity.ratings if rating.quantity in quantities]
        if not found:
            continue
        nearest = found[0]
        if number(nearest.quantity, nearest.value) == number(nearest.quantity, 0.0):
            rows.append(f"{where}, nothing")
            continue
        limit = number(nearest.quantity, nearest.limit)
        row = f"{where}, {told(nearest.quantity, nearest.value)} ({limit})"
        if nearest.quantity == "doubling_deg" and (edge := _nearest_edge(known.seams)):
            row += f", though an edge stands {edge}"
        rows.append(row)
    lead = "In this one heading of" if facts.alone else "Once round in"
    return f"{lead} {facts.room}, from {facts.spot}, with what would matter in brackets: {'; '.join(rows)}."


def _nearest_edge(seams: Sequence[SeamFound]) -> str:
    near = min((seam for seam in seams if seam.near_m is not None), key=lambda one: one.near_m or FAR_M, default=None)
    return "" if near is None else f"{away_words(near.near_m)} away at {azimuth(near.azimuth_deg)}"


def _doubling_deg(seam: SeamFound) -> float:
    return seam.doubling_deg or 0.0


def _deg(seam: SeamFound) -> str:
    return f"{_doubling_deg(seam):.2f}°"


def away_words(metres: float | None) -> str:
    """A distance as people read it; the sky has none."""
    if metres is None or metres >= 0.5 * FAR_M:
        return "very far"
    return f"{metres:.1f} m" if metres < WHOLE_FROM_M else f"{metres:.0f} m"


__all__ = ["LOOKED_AT", "away_words", "repeated", "shown_spots", "sign_marks"]
