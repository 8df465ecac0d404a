"""What is measured on a set-up's frame, in rows to read; how one number goes with one parameter, as a curve.

take --measure--> Numbers (kept by content address) --judge under the house standard--> Severity
takes along a parameter --measure the worst number alone--> Curve
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from functools import partial
from typing import Any

from scoring import ENGINE_VERSION
from scoring.drill import Json, canonical_json, content_hash
from scoring.frame.evidence import Region
from scoring.frame.faults import Parameter
from scoring.frame.severity import Numbers, Severity, judge
from scoring.standard import Bands
from trainer.library import shelf
from trainer.renders import frames
from trainer.renders.darkroom import DARKROOM, LATER, NotYet, Work
from trainer.renders.setups import NoSuchSetup, Setup, take_json_of

POINTS = 9
"""Of a curve."""
LEAST_POINTS = 3
"""Fewer make no curve: some frames cannot be had."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """How a measured number is said: its words, its unit, and what it is multiplied by."""

    words: str
    short: str
    unit: str
    times: float = 1.0
    places: int = 2

    def said(self, value: float) -> str:
        """The number with its unit; a blank that does not break."""
        return f"{value * self.times:.{self.places}f}\u00a0{self.unit}".replace("\u00a0°", "°").strip()

    def shows(self, value: float) -> bool:
        """Whether anything but noughts would be said."""
        return round(value * self.times, self.places) > 0.0


QUANTITIES = {
    "doubling_deg": Quantity("Doubling at the worst seam", "doubling", "°"),
    "horizon_step_deg": Quantity("Step in the horizon at a seam", "step", "°"),
    "tilt_deg": Quantity("Tilt of the whole frame", "tilt", "°"),
    "veil_share": Quantity("Contrast lost to a veil, at worst", "veil", "%", 100.0, 0),
    "clipped_share": Quantity("Flat white, of the sphere", "white", "%", 100.0, 1),
    "crushed_share": Quantity("Flat black, of the sphere", "black", "%", 100.0, 1),
    "dark_ev": Quantity("Middle tone below middle grey", "dark", "EV", 1.0, 1),
    "blur_deg": Quantity("Width of a sharp edge, at worst", "edge", "°"),
    "exposure_step_ev": Quantity("Step in brightness between headings", "brightness", "EV"),
    "colour_step_mired": Quantity("Step in colour between headings", "colour", "mired", 1.0, 0),
    "missing_deg": Quantity("Missing sector", "missing", "°", 1.0, 0),
    "repeated_deg": Quantity("Sector shown twice", "twice", "°", 1.0, 0),
    "copies_count": Quantity("Copies or cut bodies at a seam", "copies", "", 1.0, 0),
    "ghost_share": Quantity("Ghosts between exposures, of the sphere", "ghost", "%", 100.0, 2),
    "lens_height_off_m": Quantity("Lens off the kit’s height", "height off", "m"),
    "shadow_ratio": Quantity("Length of shadows over height", "shadow", "", 1.0, 1),
    "blocked_share": Quantity("Hidden by the set-up’s own things, of the sphere", "hidden", "%", 100.0, 2),
    "self_count": Quantity("Whoever took it, in a mirror", "mirror", "", 1.0, 0),
    "crescent_share": Quantity("Dark crescent of the lens", "crescent", "%", 100.0, 1),
}
ROLES = {
    "doubling_deg": "seam", "horizon_step_deg": "horizon", "tilt_deg": "horizon", "veil_share": "haze",
    "clipped_share": "clipped", "crushed_share": "clipped", "missing_deg": "missing", "repeated_deg": "missing",
}  # fmt: skip
"""How a place is drawn, by its quantity."""
OF_THE_WHOLE = frozenset({"dark_ev", "copies_count", "self_count"})
"""Quantities whose number is the frame's, not that of a place in it."""
SPOTS_MAX = 6
VERDICTS = {"keep": "Keep", "either": "Either", "redo": "Redo"}


@dataclass(frozen=True, slots=True)
class Reading:
    """The numbers of a frame and where in it they show."""

    numbers: Numbers
    regions: tuple[Region, ...]
    mean_doubling_deg: float | None = None
    """Over the solid angle of all seams, whether it shows or not; None where no seam has two sides."""


def severity_of(setup: Setup, who: str, *, patient: bool) -> tuple[Severity, Reading]:
    """What the set-up's frame deserves under the house standard, for who asks.

    Raises NotYet while it is being measured: at once, or after a while for the ``patient``.
    """
    standard, _ = shelf.house_standard()
    reading = reading_of(take_json_of(setup), who, patient=patient)
    return judge(reading.numbers, standard.frames), reading


def reading_of(take: Json, who: str, *, patient: bool) -> Reading:
    """What is measured on a take, kept or measured now for who asks.

    Raises NotYet, NoSuchSetup when there is no such frame.
    """
    address, work = _whole(take)
    found = frames.cabinet().read(address)
    if found is None and not patient:
        DARKROOM.put_in_line(address, work, who=who)
        raise NotYet
    if found is None:
        found = DARKROOM.ask(address, work, who=who)
    return _reading(found)


def _reading(kept: bytes) -> Reading:
    body = json.loads(kept)
    if "refused" in body:
        raise NoSuchSetup(body["refused"])
    regions = tuple(Region(**one) for one in body["regions"])
    return Reading(Numbers(**body["numbers"]), regions, body.get("mean_doubling_deg"))


def _all_there(wanted: list[tuple[str, Work]], who: str) -> list[bytes]:
    """What is kept at several addresses, without waiting. Raises NotYet, and has made what is missing."""
    found = [frames.cabinet().read(address) for address, _ in wanted]
    for (address, work), kept in zip(wanted, found, strict=True):
        if kept is None:
            DARKROOM.put_in_line(address, work, LATER, who)
    if None in found:
        raise NotYet
    return [kept for kept in found if kept is not None]


def _whole(take: Json) -> tuple[str, Work]:
    address = content_hash([take, "reading", ENGINE_VERSION])
    return address, partial(_read, take, address)


def _alone(take: Json, quantity: str, *, here: bool = False) -> tuple[str, Work]:
    address = content_hash([take, "number", quantity, ENGINE_VERSION])
    return address, partial(_read_one, take, quantity, address, here)


def _numbers(kept: bytes) -> Numbers | None:
    """The numbers of what is kept; None where there is no such frame."""
    try:
        return _reading(kept).numbers
    except NoSuchSetup:
        return None


def _read(take: Json, address: str) -> bytes:
    from trainer.renders.metering import measured_on

    body: dict[str, Any]
    try:
        found = measured_on(take)
    except ValueError as error:
        # No sun of that height on that day: that is the outcome, and is kept like any other.
        body = {"refused": str(error)}
    else:
        means = [seam.mean_deg for seam in found.seams if seam.shared]
        body = {
            "numbers": asdict(found.numbers), "regions": [asdict(region) for region in found.regions],
            "mean_doubling_deg": sum(means) / len(means) if means else None,
        }  # fmt: skip
    return _keep(address, body)


def _read_one(take: Json, quantity: str, address: str, here: bool) -> bytes:
    from trainer.renders.metering import number_here, number_on

    try:
        value = number_here(take, quantity) if here else number_on(take, quantity)
    except ValueError as error:
        return _keep(address, {"refused": str(error)})
    return _keep(address, {"value": value})


def _keep(address: str, body: dict[str, Any]) -> bytes:
    made = canonical_json(body).encode()
    frames.cabinet().keep(address, made)
    return made


def spots_of(severity: Severity, reading: Reading) -> list[dict[str, Any]]:
    """Where to look, as the viewer points at it: the quantities that are not to be kept, else the worst one."""
    wanted = [one.quantity for one in severity.ratings if one.verdict != "keep"] or [severity.worst.quantity]
    found = [region for name in wanted for region in reading.regions if region.quantity == name][:SPOTS_MAX]
    spots = []
    for number, region in enumerate(found):
        quantity = QUANTITIES[region.quantity]
        value = "" if region.quantity in OF_THE_WHOLE else f" {quantity.said(region.value)}"
        away = f" at {region.distance_m:.1f} m" if region.distance_m is not None else ""
        spots.append({
            "role": "worst" if number == 0 else ROLES.get(region.quantity, "evidence"), "frame": "frame",
            "azimuth_deg": region.azimuth_deg, "elevation_deg": region.elevation_deg,
            "width_deg": region.width_deg, "height_deg": region.height_deg,
            "label": f"{quantity.short}{value}{away}",
        })  # fmt: skip
    return spots


def rows_of(severity: Severity) -> list[dict[str, Any]]:
    """Every quantity, worst first, in words."""
    return [
        {
            "words": QUANTITIES[one.quantity].words, "value": QUANTITIES[one.quantity].said(one.value),
            "verdict": one.verdict, "verdict_words": VERDICTS[one.verdict], "looks": one.words,
            "limit": "" if one.limit == float("inf") else QUANTITIES[one.quantity].said(one.limit),
            "something": QUANTITIES[one.quantity].shows(one.value),
        }
        for one in severity.ratings
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Curve:
    """One number over one parameter."""

    parameter: Parameter
    quantity: Quantity
    points: tuple[tuple[float, float], ...]
    """(parameter, number in its own unit)."""
    here: tuple[float, float]
    edges: tuple[tuple[float, str], ...]
    """Where verdicts begin, in the number's own unit, with their words."""


def curve_of(setup: Setup, over: str, who: str) -> Curve | None:
    """How the worst number of the set-up goes with a parameter, for who asks; None for a fault without numbers.

    Raises NotYet while points are being measured, NoSuchSetup for a parameter that the fault has not.
    """
    numeric = [one for one in setup.form.parameters if isinstance(one, Parameter) and not one.whole]
    if not numeric:
        return None
    chosen = next((one for one in numeric if one.name == over), None) if over else numeric[0]
    if chosen is None:
        raise NoSuchSetup("The fault has no such parameter.")
    standard, _ = shelf.house_standard()
    low = -chosen.high if chosen.signed else 0.0
    at = [low + (chosen.high - low) * k / (POINTS - 1) for k in range(POINTS)]
    takes = [take_json_of(setup.turned(chosen.name, x)) for x in at]
    from_far = (_numbers(*_all_there([_whole(take)], who)) for take in reversed(takes))
    far = next((numbers for numbers in from_far if numbers is not None), None)
    if far is None:
        return None
    name = judge(far, standard.frames).worst.quantity
    here = _number_here(take_json_of(setup), name, who)
    if here is None:
        return None
    line = [json.loads(kept) for kept in _all_there([_alone(take, name) for take in takes], who)]
    there = tuple((x, float(one["value"] or 0.0)) for x, one in zip(at, line, strict=True) if "value" in one)
    if len(there) < LEAST_POINTS:
        return None
    return Curve(
        chosen,
        QUANTITIES[name],
        there,
        (float(setup.values[chosen.name]), here),
        _edges(getattr(standard.frames, name)),
    )


def _number_here(take: Json, quantity: str, who: str) -> float | None:
    """One number of a take: of all its numbers where they are kept, else measured alone, which somebody waits for.
    None where there is no such frame."""
    kept = frames.cabinet().read(_whole(take)[0])
    if kept is not None:
        numbers = _numbers(kept)
        return None if numbers is None else float(getattr(numbers, quantity) or 0.0)
    address, work = _alone(take, quantity, here=True)
    found = json.loads(frames.cabinet().read(address) or DARKROOM.ask(address, work, who=who))
    return float(found["value"] or 0.0) if "value" in found else None


def _edges(bands: Bands) -> tuple[tuple[float, str], ...]:
    """Where a harder verdict begins."""
    out: list[tuple[float, str]] = []
    last = bands[0].verdict
    for band in bands[1:]:
        if band.verdict != last:
            out.append((band.at_least, VERDICTS[band.verdict]))
            last = band.verdict
    return tuple(out)


__all__ = ["QUANTITIES", "Curve", "Quantity", "Reading", "curve_of", "reading_of", "rows_of", "severity_of", "spots_of"]
