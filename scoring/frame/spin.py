"""A spin: the N headings of a take with their true poses, and how the merger puts them together.

A clean set-up has the lens over the axis: its pupil for light from the seam's azimuth (180/N degrees off the lens
axis, at eye level) stands on the axis. For other angles it stands a little before or behind, as the kit's lens has it:
so even a clean spin doubles very near things a little. Where the kit sits out of habit (``Kit.pupil_forward_mm``,
``Kit.pupil_side_mm``) is what an operator corrects, and no part of a clean spin.

The merger believes that all headings are level, N equal steps apart about one point, through a centred lens, and that
everything is far away. It joins them at fixed azimuths by a soft seam::

      weight 1 ┌────heading k────┐            ┌───
               │                  ╲  feather ╱
             0 │                   ╲________╱ ...
               ├──────────┼─────────┼
             -a          0°        +a     azimuth from the heading's middle
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from scoring.floor.shapes import storeys
from scoring.frame.drafts import PUT_IN, Draft
from scoring.frame.lens import PROJECTIONS, film_shift
from scoring.frame.pose import Heading, lean_back, placed_rows, rays_of_row, turn_right
from scoring.frame.take import Fault, Take
from scoring.rig.kit import Lens

Rows = NDArray[Any]

FEATHER_DEG = 3.0
"""Half the width of the soft seam."""


class PlaceError(ValueError):
    """A station where no tripod stands; the message is for the person."""


@dataclass(frozen=True, slots=True, eq=False)
class Spin:
    """The headings of a take, in the order of the merged frame, and the merger's rule."""

    headings: tuple[Heading, ...]
    half_deg: float
    """Half the width of a heading's sector in the merged frame."""
    feather_deg: float
    lens: Lens
    facing_deg: float
    lens_point_m: tuple[float, float, float]
    """Where the axis and the lens's height meet, at the start of the spin."""

    @property
    def seams_deg(self) -> tuple[float, ...]:
        """Azimuths of the seams; seam i lies between heading i and the next."""
        return tuple((heading.believed_deg + self.half_deg) % 360.0 for heading in self.headings)


def lens_point(take: Take) -> tuple[float, float, float]:
    """Where the lens stands [m], absolute. PlaceError in a wall or off the plan."""
    station = take.station
    storey = storeys(take.plan)[station.level]
    room = next((r for r in storey.rooms if shapely.intersects_xy(r.polygon, station.x, station.y)), None)
    way = next((h for h in storey.holes if h.walkable and shapely.intersects_xy(h.polygon, station.x, station.y)), None)
    if room is None and way is None:
        raise PlaceError(f"there is no floor to stand on at x {station.x:g} m, y {station.y:g} m")
    floor_m = room.floor if room is not None else way.floor if way is not None else 0.0
    low = take.fault("F19")
    height_m = low.number("height_m") if low and low.word("kind") == "height" else take.kit.lens_height_m
    return station.x, station.y, floor_m + height_m


def spin_of(take: Take, at_m: tuple[float, float, float] | None = None) -> Spin:
    """The spin of a take. ``at_m`` is the lens's place when it is known already; else it is found on the plan."""
    count = take.kit.headings
    step_deg = 360.0 / count
    drafts = [Draft(k * step_deg) for k in range(count)]
    shift, turn = (0.0, 0.0), np.eye(3)
    for fault in take.faults:
        put_in = PUT_IN.get(fault.code)
        if put_in is not None:
            put_in(drafts, fault, np.random.default_rng([take.seed, int(fault.code[1:]), 71]))
    seat = take.fault("F9")
    if seat is not None:
        shift, turn = _seated_off(take.kit.lens, seat)
    point = lens_point(take) if at_m is None else at_m
    headings = [_heading(take, k, draft, point, shift, turn) for k, draft in enumerate(drafts)]
    half_deg = 0.5 * step_deg
    stopped = take.fault("F8")
    if stopped is not None:
        headings, half_deg = _stopped(headings, stopped)
    return Spin(tuple(headings), half_deg, FEATHER_DEG, take.kit.lens, take.facing_deg, point)


def _heading(
    take: Take, k: int, draft: Draft, point: tuple[float, float, float], shift: tuple[float, float], turn: Rows
) -> Heading:
    count, lens = take.kit.headings, take.kit.lens
    world = turn_right(-take.facing_deg)
    rotator = world @ draft.tilt @ turn_right(draft.yaw_deg)
    off_m = rotator @ np.array([draft.forward_mm, -draft.side_mm, 0.0]) / 1000.0
    return Heading(
        index=k,
        source=k,
        taken=True,
        believed_deg=k * 360.0 / count,
        attitude=rotator @ draft.mount,
        origin_m=np.array(point) + world @ draft.moved_mm / 1000.0 + off_m,
        lens_turn=turn,
        lens_shift=shift,
        travel_m=lens.pupil_travel_mm / 1000.0 / (1.0 - math.cos(math.radians(0.5 * lens.field_deg))),
        seam_rad=math.pi / count,
        projection=PROJECTIONS[lens.projection],
        film=draft.film,
    )


def _seated_off(lens: Lens, fault: Fault) -> tuple[tuple[float, float], Rows]:
    """Shift of the picture (left, up) and turn of the lens, for a lens that is not home."""
    toward = math.radians(fault.number("toward_deg"))
    right, up = math.cos(toward), math.sin(toward)
    shift = film_shift(lens, fault.number("offset_mm"))
    tilt_deg = fault.number("tilt_deg")
    return (-right * shift, up * shift), turn_right(tilt_deg * right) @ lean_back(tilt_deg * up)


def _stopped(headings: list[Heading], fault: Fault) -> tuple[list[Heading], float]:
    """A spin that ended early: what fills each sector, and half a sector's width [deg]."""
    count = len(headings)
    taken = count - int(fault.number("missing"))
    if fault.word("fill") == "squeezed":
        spread = [replace(h, believed_deg=h.index * 360.0 / taken) for h in headings[:taken]]
        return spread, 180.0 / taken
    if fault.word("fill") == "black":
        return [replace(h, taken=h.index < taken) for h in headings], 180.0 / count
    again = [replace(headings[taken - 1], index=k, believed_deg=headings[k].believed_deg) for k in range(taken, count)]
    return headings[:taken] + again, 180.0 / count


def seam_weights(off_rad: Rows, half_rad: float, feather_rad: float) -> Rows:
    """Shares of a heading at azimuths that lie so far from its middle; neighbours sum to 1."""
    u = np.clip((half_rad + feather_rad - np.abs(off_rad)) / (2.0 * feather_rad), 0.0, 1.0)
    out: Rows = u * u * (3.0 - 2.0 * u)
    return out


def rays(heading: Heading, lonlat_deg: Rows) -> tuple[Rows, Rows]:
    """What a heading really saw where the merger believes (n, 2) [deg]: origins and unit directions (n, 3), world."""
    origins, directions = rays_of_row(heading.row(), np.ascontiguousarray(lonlat_deg, dtype=np.float64))
    return origins, directions


def placed(spin: Spin, heading: Heading, points_m: Rows) -> Rows:
    """Where the merger puts world points (n, 3) [m] that a heading sees: (n, 2) lon, lat [deg]. Inverse of ``rays``."""
    out: Rows = placed_rows(heading.row(), np.ascontiguousarray(points_m, dtype=np.float64))
    return out


__all__ = ["FEATHER_DEG", "PlaceError", "Spin", "lens_point", "placed", "rays", "seam_weights", "spin_of"]
