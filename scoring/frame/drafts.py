"""Headings in the making: each fault of the catalogue puts its physical cause into the poses and films of a spin."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scoring.frame.pose import Film, Smudge, lean_back, roll_right, tilt_toward, turn_right
from scoring.frame.take import Fault

Rows = NDArray[Any]


@dataclass(slots=True)
class Draft:
    """A heading while the faults are put in, one after the other. Lengths in mm, angles in degrees."""

    yaw_deg: float
    tilt: Rows = field(default_factory=lambda: np.eye(3))
    """Of the axis."""
    mount: Rows = field(default_factory=lambda: np.eye(3))
    """Of the phone in its clamp."""
    forward_mm: float = 0.0
    side_mm: float = 0.0
    moved_mm: Rows = field(default_factory=lambda: np.zeros(3))
    """In the frame's axes."""
    film: Film = field(default_factory=Film)


Dice = np.random.Generator


def _away(azimuth_deg: float, length: float) -> Rows:
    """A level vector in the frame's axes."""
    return length * turn_right(azimuth_deg)[:, 0]


def _little(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for k, draft in enumerate(drafts):
        draft.forward_mm += fault.number("forward_mm")
        draft.side_mm += fault.number("side_mm")
        draft.tilt = tilt_toward(fault.number("tilt_deg"), fault.number("toward_deg")) @ draft.tilt
        step_ev = fault.number("step_ev") * (k % 2)
        draft.film = replace(
            draft.film, veil_share=fault.number("veil_share"), exposure_ev=draft.film.exposure_ev + step_ev
        )


def _forward(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for draft in drafts:
        draft.forward_mm += fault.number("offset_mm")


def _sideways(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for draft in drafts:
        draft.side_mm += fault.number("offset_mm")


def _askew(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for draft in drafts:
        draft.mount = lean_back(fault.number("lean_deg")) @ roll_right(fault.number("roll_deg"))


def _tilted(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for draft in drafts:
        draft.tilt = tilt_toward(fault.number("tilt_deg"), fault.number("toward_deg")) @ draft.tilt


def _moved(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for draft in drafts[int(fault.number("heading")) - 1 :]:
        draft.moved_mm = draft.moved_mm + _away(fault.number("toward_deg"), fault.number("shift_mm"))
        draft.yaw_deg += fault.number("yaw_deg")


def _rocking(drafts: list[Draft], fault: Fault, dice: Dice) -> None:
    for draft in drafts:
        share, swing, sway = dice.uniform(0.35, 1.0), dice.uniform(0.0, 360.0), dice.normal(size=3)
        draft.tilt = tilt_toward(fault.number("rocking_deg") * share, swing) @ draft.tilt
        draft.moved_mm = draft.moved_mm + fault.number("sway_mm") * dice.uniform(0.4, 1.0) * sway / np.linalg.norm(sway)
        smeared = fault.number("blur_deg") * max(0.0, dice.uniform(-1.0, 1.0))
        draft.film = replace(draft.film, smear_deg=max(draft.film.smear_deg, smeared))


def _slipping(drafts: list[Draft], fault: Fault, dice: Dice) -> None:
    slipped = 0.0
    for draft in drafts[1:]:
        share = dice.uniform(0.1, 1.0) if fault.word("pattern") == "irregular" else 1.0
        slipped += share * fault.number("slip_deg")
        draft.yaw_deg += slipped


def _fogged(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for k, draft in enumerate(drafts):
        halves = k * fault.number("step_min") / max(fault.number("half_life_min"), 1e-3)
        draft.film = replace(draft.film, fog_share=fault.number("loss") * 0.5**halves)


def _smudged(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    smudge = Smudge(
        share=fault.number("patch_share"),
        loss=fault.number("contrast_loss"),
        off_axis_deg=fault.number("off_axis_deg"),
        toward_deg=fault.number("toward_deg"),
        grain_deg=fault.number("grain_deg"),
    )
    for draft in drafts:
        draft.film = replace(draft.film, smudge=smudge)


def _glaring(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    for draft in drafts:
        draft.film = replace(draft.film, glare_share=fault.number("veil_share"), glare_spots=int(fault.number("spots")))


def _soft(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    only, blur_deg = int(fault.number("heading")), fault.number("blur_deg")
    for k, draft in enumerate(drafts):
        if only in (0, k + 1):
            focus = fault.word("kind") == "focus"
            draft.film = (
                replace(draft.film, focus_deg=blur_deg)
                if focus
                else replace(draft.film, smear_deg=max(blur_deg, draft.film.smear_deg))
            )


def _jumping(drafts: list[Draft], fault: Fault, dice: Dice) -> None:
    first = int(fault.number("heading")) - 1
    for k, draft in enumerate(drafts):
        if k < first:
            continue
        share = dice.uniform(-1.0, 1.0) if fault.word("pattern") == "irregular" else 1.0
        draft.film = replace(
            draft.film,
            exposure_ev=draft.film.exposure_ev + share * fault.number("step_ev"),
            balance_kelvin=draft.film.balance_kelvin + share * fault.number("step_kelvin"),
        )


def _held(drafts: list[Draft], fault: Fault, _: Dice) -> None:
    if fault.word("kind") in ("finger", "strap"):
        for draft in drafts:
            draft.film = replace(draft.film, held=fault.word("kind"), held_toward_deg=fault.number("toward_deg"))


PUT_IN: dict[str, Callable[[list[Draft], Fault, Dice], None]] = {
    "N1": _little, "F1": _forward, "F2": _sideways, "F3": _askew, "F4": _tilted, "F5": _moved, "F6": _rocking,
    "F7": _slipping, "F10": _smudged, "F11": _fogged, "F12": _glaring, "F13": _soft, "F15": _jumping, "F19": _held,
}  # fmt: skip
"""By code. What happens on the film alone (F9, F14), in the merger (F8) and in the scene (F16..F18) is not here."""

__all__ = ["PUT_IN", "Draft"]
