"""Making a case that is looked at: draw a fault, take the frame, measure it, and keep it only when it is fair.

    code  --draw-->  take  --stage, shoot, measure-->  numbers  --house standard-->  keep | either | redo

What the answer is comes from the numbers alone. A fault that measures below what matters makes a case of "nothing that
matters" only where that was wanted; one in a band where both are right makes none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.drill import Spot, Unfit
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.frame.evidence import Region
from scoring.frame.faults import FAULTS, FaultCode
from scoring.frame.lookalikes import LOOKALIKES
from scoring.frame.measure import Measured, measure
from scoring.frame.measure_seams import Points, Seam
from scoring.frame.measure_uprights import leaning_both_ways
from scoring.frame.picture import heading_picture
from scoring.frame.probe import FAR_M
from scoring.frame.severity import Numbers, Severity, judge, only
from scoring.frame.signature import Signature, signature
from scoring.frame.stage import SCENE_SEEDS, Stage, stage
from scoring.frame.take import Fault, Take
from scoring.kinds.causes import CUES_OF, NOTHING
from scoring.kinds.fault_draw import draw_fault, grown, narrowed
from scoring.kinds.frame_key import Known, SeamFound
from scoring.kinds.frame_places import places_of
from scoring.kinds.light_store import kept_light
from scoring.kinds.viewpoints import viewpoints
from scoring.kinds.words import Names, spot
from scoring.standard import FrameBands

FAULT_CODES: tuple[FaultCode, ...] = tuple(code for code in FAULTS if code.startswith("F"))  # type: ignore[misc]
MEASURED_PX = 1024
STATIONS = 4
"""Stations tried for one case."""
SIZES = (1.0, 2.0, 4.0)
"""How much larger a fault is drawn when it measured too small to redo."""
SPOTS_MOST = 3
"""So many places of a frame are pointed at, the worst ones."""
OVERCAST_SHARE, LAMPS_SHARE = 0.35, 0.6
LIGHTS = 4
"""Each place is shown in so many lights: solving one takes seconds, so cases share them; stations they do not."""
STAGED = frozenset({"F16", "F17", "F18", "F19"})
"""Faults that change the scene, the hour or the lens's height: each try needs its own stage."""
HIDES_EDGES = frozenset({"F11"})
"""Faults that take away the edges by which others are told: whether the place is fair is read on its clean frame."""
AGAIN = (0.85, 1.1)
"""When a fault is still there in a second spin, it is so many times as large as in the first."""
PLAINER = 1.5
"""A second fault makes what it shows as so many times as large, so that a cure of it can be seen."""

SHOWS_AS: dict[str, frozenset[str]] = {
    "F1": frozenset({"doubling_deg"}),
    "F2": frozenset({"doubling_deg"}),
    "F3": frozenset({"doubling_deg", "horizon_step_deg", "tilt_deg"}),
    "F4": frozenset({"tilt_deg"}),
    "F5": frozenset({"doubling_deg", "horizon_step_deg"}),
    "F6": frozenset({"doubling_deg", "horizon_step_deg", "blur_deg", "tilt_deg"}),
    "F7": frozenset({"doubling_deg", "repeated_deg", "missing_deg"}),
    "F8": frozenset({"missing_deg", "repeated_deg", "doubling_deg", "horizon_step_deg", "copies_count"}),
    "F9": frozenset({"crescent_share", "doubling_deg", "blur_deg", "horizon_step_deg", "tilt_deg"}),
    "F10": frozenset({"veil_share", "blur_deg"}),
    "F11": frozenset({"veil_share", "blur_deg", "exposure_step_ev", "colour_step_mired"}),
    "F12": frozenset({"veil_share", "clipped_share", "exposure_step_ev"}),
    "F13": frozenset({"blur_deg"}),
    "F14": frozenset({"clipped_share", "crushed_share", "dark_ev"}),
    "F15": frozenset({"exposure_step_ev", "colour_step_mired", "clipped_share", "dark_ev"}),
    "F16": frozenset({"copies_count", "doubling_deg"}),
    "F17": frozenset({"ghost_share"}),
    "F18": frozenset({"shadow_ratio", "clipped_share", "dark_ev"}),
    "F19": frozenset({"lens_height_off_m", "blocked_share", "self_count", "crescent_share", "doubling_deg"}),
}
"""The quantities that each fault may push over a limit; one beyond these makes the case ambiguous."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One frame of a case: its whole cause, what was measured, and what its key will know."""

    take: Take
    stage: Stage
    measured: Measured
    severity: Severity
    known: Known

    def clean(self) -> Seen:
        """The same with nothing wrong (only its take; it was not measured)."""
        return replace(self, take=clean_of(self.take))


def clean_of(take: Take) -> Take:
    """The take from the very same spot, hour and light, with nothing wrong."""
    return replace(take, faults=())


def look(
    place: Place,
    rng: Random,
    code: str,
    *,
    spaces: Sequence[str] = (),
    fixed: Mapping[str, Sequence[str]] | None = None,
) -> Seen:
    """A fair frame with that fault, from a random allowed station at a random hour of the place.

    ``fixed`` narrows the choices of a fault, like ``{"kind": ("finger",)}``. Raises Unfit with what went wrong last.
    """
    why = "no allowed station with something near and something far"
    first = _clean_take(place, rng)
    for station, facing_deg in viewpoints(place, rng, most=STATIONS, spaces=spaces):
        take = replace(first, station=station, facing_deg=facing_deg)
        try:
            return _drawn(place, rng, take, code, fixed or {})
        except Unfit as unfit:
            why = str(unfit)
    raise Unfit(why)


def look_again(before: Seen, place: Place, rng: Random, code: str) -> Seen:
    """Another spin from the spot of ``before``: with its own fault there still, with nothing wrong (N0), or with
    another fault on top of its own, which deserves a redo alone and shows plainly beside it. Raises Unfit when what
    it deserves is not clear."""
    if code == NOTHING:
        return _measured(place, before.stage, clean_of(before.take), NOTHING)
    if code == before.known.code:
        factor = rng.uniform(*AGAIN)
        again = tuple(Fault(fault.code, grown(fault, factor)) for fault in before.take.faults)
        return _measured(place, before.stage, replace(before.take, faults=again), code)
    why = ""
    for size in SIZES:
        added = draw_fault(code, place.kit, rng, scale=size)
        try:
            alone = _measured(place, before.stage, replace(before.take, faults=(added,)), code)
            both = replace(before.take, faults=(*before.take.faults, added))
            seen = _measured(place, before.stage, both, code, allowed=SHOWS_AS[before.known.code])
        except Unfit as unfit:
            why = str(unfit)
            continue
        quantity = alone.severity.worst.quantity
        now, left = (getattr(of.measured.numbers, quantity) or 0.0 for of in (seen, before))
        if now >= PLAINER * left:
            return seen
        why = f"{code} beside {before.known.code}: {quantity} goes from {left:.3g} to {now:.3g} only"
    raise Unfit(why)


def own_part(numbers: Numbers, code: str) -> Numbers:
    """What is measured of that which a fault of that code shows as; the rest has no say."""
    return only(numbers, SHOWS_AS[code])


def told_by(seen: Seen, quantities: frozenset[str], bands: FrameBands) -> Seen:
    """The same told by some quantities alone, and pointed at where these show; as it was where they say otherwise."""
    numbers = only(seen.known.numbers, quantities)
    own = judge(numbers, bands)
    if own.verdict != seen.severity.verdict:
        return seen
    known = replace(seen.known, numbers=numbers)
    if seen.known.choice != NOTHING:
        known = replace(known, **where_shown(seen.measured, own, bands))
    return replace(seen, known=known)


def where_shown(measured: Measured, own: Severity, bands: FrameBands) -> dict[str, Any]:
    """Of a frame with a fault: where what decides shows, as its key knows it."""
    decides = own.worst.quantity
    regions = measured.regions_of(decides)
    return {
        "spots": _spots(regions[:SPOTS_MOST]),
        "away_m": regions[0].distance_m if regions else None,
        "places": _spots(places_of(measured, own, bands)),
        "uprights": leaning_both_ways(measured.uprights) if decides == "tilt_deg" else (),
        "haze": measured.veil.shown if decides == "veil_share" else None,
    }


def raw_heading(seen: Seen, index: int, width_px: int) -> NDArray[np.uint8]:
    """One heading as it comes from the phone, (width, width, 3)."""
    picture: NDArray[np.uint8] = heading_picture(seen.stage, seen.take, index, width_px)
    return picture


def _clean_take(place: Place, rng: Random) -> Take:
    """A clean take, anywhere, in one of the place's few lights: each with its hour, sky, lamps and dressing."""
    light = rng.randrange(LIGHTS)
    hour = Random(f"light/{place.plan.name}/{light}")  # noqa: S311 (no secret)
    month, day, quarter = hour.randint(4, 9), hour.randint(1, 28), hour.randint(9 * 4, 15 * 4 - 1)
    return Take(
        plan=place.plan,
        kit=place.kit,
        station=Station(level=0, x=0.0, y=0.0),
        when_iso=f"2025-{month:02d}-{day:02d}T{quarter // 4:02d}:{quarter % 4 * 15:02d}",
        sky="overcast" if hour.random() < OVERCAST_SHARE else "clear",
        lamps=hour.random() < LAMPS_SHARE,
        seed=light + SCENE_SEEDS * rng.getrandbits(20),
    )


def _drawn(place: Place, rng: Random, take: Take, code: str, fixed: Mapping[str, Sequence[str]]) -> Seen:
    """The take with the fault in, larger from try to try, until what it deserves is clear."""
    why = ""
    shared: Stage | None = None
    for size in SIZES if code.startswith("F") else SIZES[:1]:
        faults = () if code == NOTHING else (narrowed(draw_fault(code, place.kit, rng, scale=size), fixed, rng),)
        faulty = replace(take, faults=faults)
        try:
            if code in STAGED or shared is None:
                shared = stage(faulty if code in STAGED else take, kept_light(faulty if code in STAGED else take))
            return _measured(place, shared, faulty, code)
        except Unfit as unfit:
            why = str(unfit)
        except ValueError as error:  # no such hour, nowhere for who moved to stand
            why = f"{code}: {error}"
    raise Unfit(why)


def _measured(place: Place, shared: Stage, take: Take, code: str, *, allowed: frozenset[str] = frozenset()) -> Seen:
    """The take measured. Raises Unfit when it is no fair case of that fault.

    ``allowed`` are the quantities of a fault that was there before; what is known is then told of ``code`` alone.
    """
    standard = place.standard
    measured = measure(shared, take, width_px=MEASURED_PX, looking=standard.looking)
    plain = measured
    if code in HIDES_EDGES and not measured.is_fair(standard.looking):
        plain = measure(shared, clean_of(take), width_px=MEASURED_PX, looking=standard.looking)
    tellable = min(len(plain.near_seams), len(plain.far_seams))
    if tellable < standard.looking.seams_count:
        raise Unfit(f"only {tellable} seams show something near and something far")
    severity = judge(measured.numbers, standard.frames)
    shown = SHOWS_AS.get(code, frozenset()) | allowed
    if severity.verdict == "either":
        raise Unfit(f"{code}: {severity.worst.quantity} of {severity.worst.value:.3g} lies where both are right")
    if severity.verdict != ("redo" if code.startswith("F") else "keep"):
        raise Unfit(f"{code}: {severity.worst.quantity} of {severity.worst.value:.3g} deserves {severity.verdict}")
    if beside := [
        rating.quantity for rating in severity.ratings if rating.verdict != "keep" and rating.quantity not in shown
    ]:
        raise Unfit(f"{code}: {', '.join(beside)} would be a fault of its own")
    read = signature(measured, standard.frames)
    if (ask := unclear(way_of(code, take, read), read)) and not allowed:
        raise Unfit(f"{code}: the frame does not tell ({ask})")
    numbers = own_part(measured.numbers, code) if allowed else measured.numbers
    own = judge(numbers, standard.frames)
    if own.verdict != severity.verdict:
        raise Unfit(f"{code}: {own.worst.quantity} of {own.worst.value:.3g} deserves {own.verdict} by itself")
    room = place.room(take.station)
    known = Known(
        code=code,
        cue=cue_of(code, take, read),
        numbers=numbers,
        spots=(),
        away_m=None,
        room=Names(place.plan).room(take.station.level, None if room is None else room.space.id),
        spot=spot(take.station.x, take.station.y),
        headings=place.kit.headings,
        values={} if code == "N1" else next((fault.values for fault in take.faults if fault.code == code), {}),
        traces=asdict(read),
        seams=tuple(_seam_found(seam, measured.points) for seam in measured.seams if seam.shared),
    )
    if code.startswith("F"):
        known = replace(known, **where_shown(measured, own, standard.frames))
    return Seen(take, shared, measured, severity, known)


def _spots(regions: Sequence[Region]) -> tuple[Spot, ...]:
    return tuple(
        Spot(
            role="evidence", frame="frame", azimuth_deg=region.azimuth_deg, elevation_deg=region.elevation_deg,
            width_deg=region.width_deg, height_deg=region.height_deg, label=str(number),
        )
        for number, region in enumerate(regions, 1)
    )  # fmt: skip


def _seam_found(seam: Seam, points: Points) -> SeamFound:
    worst, step_deg = seam.worst, abs(seam.horizon_step_deg)
    if worst is None:
        return SeamFound(seam.azimuth_deg, 0.0, None, step_deg, mean_deg=seam.mean_deg)
    shown = points.where((points.seam == seam.number) & points.shows)
    solid = shown.where(shown.distance_m < 0.5 * FAR_M)
    far = int(np.argmax(solid.distance_m)) if len(solid.seam) else None
    return SeamFound(
        azimuth_deg=seam.azimuth_deg,
        elevation_deg=worst.elevation_deg,
        doubling_deg=worst.doubling_deg,
        horizon_step_deg=step_deg,
        away_m=worst.distance_m,
        near_m=float(shown.distance_m.min()),
        far_m=None if far is None else float(solid.distance_m[far]),
        far_deg=None if far is None else float(solid.doubling_deg[far]),
        mean_deg=seam.mean_deg,
    )


def way_of(code: str, take: Take, read: Signature) -> str:
    """The fault with its way, as the table of look-alikes names it: "F3 roll", "F14 dark", "F6"."""
    fault = next((one for one in take.faults if one.code == code), None)
    if fault is None:
        return code
    if code == "F3":
        return "F3 lean" if fault.number("lean_deg") else "F3 roll"
    if code == "F6":
        return "F6" if read.soft == "none" else "F6 soft"
    if code == "F9":
        return "F9 soft" if read.soft == "one side" else "F9"
    if code == "F13":
        return f"F13 {fault.word('kind')}"
    if code == "F14":
        return "F14 white" if fault.number("offset_ev") > 0.0 else "F14 dark"
    if code == "F19":
        kind = fault.word("kind")
        return f"F19 {'mirror' if kind == 'self' else kind}"
    return code


def unclear(way: str, read: Signature) -> str:
    """The first ask about look-alikes to which a frame of that way does not give its own reply; "" for none."""
    code = way.split()[0]
    for ask in LOOKALIKES:
        mine = [reply for reply in ask.replies if {way, code} & set(reply.causes)]
        if mine and not any(reply.fits(read) for reply in mine):
            return ask.ask
    return ""


def cue_of(code: str, take: Take, read: Signature) -> str:
    """Which of a cause's cues this very frame shows."""
    cues = CUES_OF.get(code, CUES_OF[NOTHING])
    if code == "F3":
        return "scallops" if read.horizon == "scallops" else "teeth"
    if code == "F13":
        return "smear" if read.smeared else "no-detail"
    if code == "F14":
        return "flat-white" if way_of(code, take, read) == "F14 white" else "near-black"
    if code == "F19":
        kind = next(fault.word("kind") for fault in take.faults if fault.code == code)
        return {"height": "low-line", "self": "own-image"}.get(kind, "blob")
    return cues[0]


__all__ = [
    "FAULT_CODES", "PLAINER", "SHOWS_AS", "Seen", "clean_of", "cue_of", "look", "look_again", "raw_heading", "told_by",
    "unclear", "way_of", "where_shown",
]  # fmt: skip
