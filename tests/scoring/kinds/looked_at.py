"""Cases that are looked at, made up without rendering: a key as it would be, for the tests of grading and of words."""

from __future__ import annotations

from dataclasses import asdict, replace
from random import Random
from typing import Any

from scoring.drill import Json, Spot, Task
from scoring.floor.read import read_kit
from scoring.frame.lookalikes import LOOKALIKES, rows
from scoring.frame.measure_plain import Shown
from scoring.frame.measure_uprights import Upright
from scoring.frame.severity import Numbers, judge
from scoring.frame.signature import Signature
from scoring.kinds.causes import CAUSES, CUES_OF, NOTHING, choice_of
from scoring.kinds.fault_draw import draw_fault
from scoring.kinds.frame_case import SHOWS_AS
from scoring.kinds.frame_key import Known, SeamFound, known_json
from tests.scoring.kinds.shipped import SCENARIOS, standard

KIT = read_kit((SCENARIOS / "kits" / "plover-four.json").read_bytes())
FAULTY = {
    "doubling_deg": (0.45, 2.5), "horizon_step_deg": (0.45, 2.0), "tilt_deg": (1.1, 5.0), "veil_share": (0.12, 0.6),
    "crescent_share": (0.04, 0.2), "blur_deg": (0.3, 0.8), "missing_deg": (60.0, 120.0), "clipped_share": (0.06, 0.3),
    "exposure_step_ev": (0.35, 1.4), "copies_count": (1.0, 3.0), "ghost_share": (0.006, 0.02), "dark_ev": (1.6, 3.0),
    "shadow_ratio": (3.0, 9.0), "lens_height_off_m": (0.25, 0.7), "repeated_deg": (60.0, 120.0),
}  # fmt: skip
REPEATED = frozenset({"F9", "F10"})
CLEAN = Signature(
    repeat="none", distance_law="n/a", direction="none", at_eye_level=False, opposite=False, still_things=False,
    contrast_loss=False, veil="none", trend="none", soft="none", horizon="straight", band=False, sector="whole",
    dark="none", white="none", copies="none", shadows="none", low=False, seams_off=0, crescent=False,
)  # fmt: skip
ROOMS = ("the kitchen", "the hall", "bedroom 2", "the living room", "the study")


def known(code: str, seed: int = 0, frame: str = "frame") -> Known:
    """What a key knows of a frame with that fault, drawn at random."""
    rng = Random(f"{code}/{seed}/{frame}")
    fault = draw_fault(code, KIT, rng) if code.startswith("F") else None
    shown = next((q for q in FAULTY if q in SHOWS_AS.get(code, ())), "doubling_deg")
    value = rng.uniform(*FAULTY[shown]) if fault else rng.uniform(0.0, 0.12)
    if shown == "copies_count":
        value = float(round(value))
    spots = tuple(
        Spot("evidence", frame, round(rng.uniform(-180, 180), 1), round(rng.uniform(-60, 40), 1), 6.0, 12.0, str(n))
        for n in range(1, 3 if fault else 1)
    )
    return Known(
        code=code,
        cue=CUES_OF[choice_of(code)][0],
        numbers=replace(Numbers(), **{shown: value}),
        spots=spots,
        away_m=round(rng.uniform(0.6, 6.0), 2) if fault else None,
        room=rng.choice(ROOMS),
        spot=f"(x {rng.uniform(0, 9):.1f}, y {rng.uniform(0, 9):.1f})",
        headings=KIT.headings,
        values=dict(fault.values) if fault else {},
        traces={},
    )


def signed(of: Known, seed: int = 0) -> Known:
    """The same with traces as the table of look-alikes has them, with seams, and with every place of a repeat."""
    rng = Random(f"signed/{of.code}/{seed}")
    way = next((one for _, _, one in rows() if one.split()[0] == choice_of(of.code)), "")
    replies = [reply for ask in LOOKALIKES for reply in ask.replies if way in reply.causes]
    read = replace(CLEAN, **{name: values[0] for reply in replies for name, values in reply.traces.items()})  # type: ignore[arg-type]
    step_deg = 360.0 / of.headings
    seams = tuple(_seam(rng, read, number, number * step_deg - 180.0 + 0.5 * step_deg) for number in range(of.headings))
    first = replace(of.spots[0], width_deg=24.0, height_deg=24.0) if of.spots else None
    turns = [step_deg * number for number in range(of.headings)] if of.code in REPEATED else [0.0]
    places = tuple(
        replace(first, azimuth_deg=(first.azimuth_deg + turn + 180.0) % 360.0 - 180.0) for turn in turns if first
    )
    told = replace(of, traces=asdict(read), seams=seams, places=places)
    shows = judge(of.numbers, standard().frames).worst.quantity
    if first and shows == "veil_share":
        return replace(told, haze=_haze(rng, first))
    return replace(told, uprights=_uprights(rng, first)) if first and shows == "tilt_deg" else told


def _haze(rng: Random, spot: Spot) -> Shown:
    dark, light = rng.uniform(20.0, 60.0), rng.uniform(110.0, 200.0)
    lifted = rng.uniform(0.2, 0.6) * (light - dark)
    return Shown(spot.azimuth_deg, spot.elevation_deg, 0.3, (dark, light), (dark + lifted, light))


def _uprights(rng: Random, spot: Spot) -> tuple[Upright, ...]:
    lean_deg, long_deg = rng.uniform(1.0, 5.0), rng.uniform(20.0, 60.0)
    return (
        Upright(spot.azimuth_deg, spot.elevation_deg, long_deg, -lean_deg),
        Upright((spot.azimuth_deg + 360.0) % 360.0 - 180.0, 0.0, long_deg, 0.9 * lean_deg),
    )


def _seam(rng: Random, read: Signature, number: int, azimuth_deg: float) -> SeamFound:
    """A seam with an edge near and one far, off as the traces say it is."""
    off = read.still_things and (read.repeat != "one and closing" or number < 2)
    near_m, far_m = rng.uniform(0.6, 1.2), rng.uniform(4.0, 9.0)
    near_deg = rng.uniform(0.5, 2.0) if off else rng.uniform(0.0, 0.1)
    far_deg = near_deg * (near_m / far_m if read.distance_law == "inverse" else 0.97)
    return SeamFound(azimuth_deg, rng.uniform(-60.0, 0.0), near_deg, 0.0, near_m, near_m, far_m, far_deg)


def task(
    kind: str, asks: Json, *, of: Known, key: dict[str, Any] | None = None, skills: tuple[str, ...] = ("V3",)
) -> Task:
    """A task of that kind round a made-up key."""
    return Task(
        kind=kind,  # type: ignore[arg-type]
        recipe="made-up",
        recipe_hash="0" * 64,
        standard=standard().version,
        seed=1,
        engine="test",
        public={"title": "Made up", "task": "Look.", "frames": [], "asks": asks, "kit": {}},
        key={"skills": list(skills), "guess": {}, "known": known_json(of), **(key or {})},
        difficulty_logit=0.0,
        difficulty_sd=0.6,
        guess_floor=0.2,
        fingerprint="x",
    )


def severity(of: Known) -> str:
    """What the made-up numbers deserve."""
    return judge(of.numbers, standard().frames).verdict


def choices(asks: Json) -> dict[str, list[str]]:
    """The values of each choice."""
    return {one["name"]: [value for value, _ in one["options"]] for one in asks["choices"]}


ALL_CODES = (*(code for code in CAUSES if code != NOTHING), "N0", "N1")

__all__ = ["ALL_CODES", "KIT", "choices", "known", "severity", "signed", "task"]
