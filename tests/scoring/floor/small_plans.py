"""Small plans for tests, drawn in a few words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scoring.floor.plan import Edge, Flight, FlightEnd, Leaf, Level, Opening, Plan, Slope, Space, Station, Thing
from scoring.rig.kit import Battery, Kit, Lens
from scoring.standard import Standard

WALL = 0.12


def box(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float], ...]:
    """A rectangle's corners, counter-clockwise."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def room(name: str, outline: Sequence[tuple[float, float]], use: Any = "living", **more: Any) -> Space:
    """A space whose id is its name in lower case."""
    return Space(id=name.lower().replace(" ", "-"), name=name, use=use, outline=tuple(outline), **more)


def door(
    a: str, b: str, jambs: tuple[tuple[float, float], tuple[float, float]], kind: Any = "door", **more: Any
) -> Opening:
    """An opening in a wall of the usual thickness."""
    more.setdefault("depth_m", WALL)
    return Opening(id=f"{kind}-{a}-{b}", kind=kind, between=(a, b), jambs=jambs, **more)


def thing(name: str, space: str, outline: Sequence[tuple[float, float]], height: float, **more: Any) -> Thing:
    """A piece of furniture."""
    more.setdefault("kind", "table")
    return Thing(
        id=name.lower().replace(" ", "-"), name=name, space=space, outline=tuple(outline), height_m=height, **more
    )


def level(
    spaces: Sequence[Space], openings: Sequence[Opening] = (), things: Sequence[Thing] = (), **more: Any
) -> Level:
    """A storey; on the ground, 2.5 m high, unless said otherwise."""
    more.setdefault("name", "Ground floor")
    more.setdefault("elevation_m", 0.0)
    more.setdefault("ceiling_m", 2.5)
    return Level(spaces=tuple(spaces), openings=tuple(openings), things=tuple(things), **more)


def plan(levels: Sequence[Level], flights: Sequence[Flight] = ()) -> Plan:
    """A plan of those levels."""
    return Plan(
        format="levelhead-floor", version=1, name="drawn", title="Drawn", note="For a test", north_deg=90.0,
        entrance=levels[0].spaces[0].id, levels=tuple(levels), flights=tuple(flights),
    )  # fmt: skip


def kit(**more: Any) -> Kit:
    """A kit with the lens 1.5 m high and a leg circle of 0.9 m."""
    values: dict[str, Any] = {
        "format": "levelhead-kit", "version": 1, "name": "test-kit", "title": "Test kit", "note": "For a test",
        "headings": 4, "lens_height_m": 1.5, "leg_circle_m": 0.9, "mast_radius_m": 0.1, "clamp": "side",
        "camera_place": "near a corner", "pupil_forward_mm": 0.0, "pupil_side_mm": 0.0,
        "lens": Lens(mount="screw-on", projection="equidistant", field_deg=180.0, pupil_travel_mm=2.0),
        "battery": Battery(rotator_hours=6.0, phone_drain_share_per_hour=0.2, bank_mah=10000),
    }  # fmt: skip
    return Kit(**{**values, **more})


def standard(**more: Any) -> Standard:
    """A house standard with round numbers."""
    values: dict[str, Any] = {
        "format": "levelhead-standard", "version": "test-1", "title": "Test standard", "sight_range_m": 8.0,
        "sight_range_outdoor_m": 10.0, "floor_grazing_min_deg": 8.0, "corner_stub_m": 0.1,
        "incidence_report_deg": 60.0, "floor_share_min": 0.9, "floor_share_of_best": 0.97, "outdoor_share_min": 0.5,
        "link_strip_m": 0.4, "link_max_m": 8.0, "link_max_outdoor_m": 10.0, "clearance_good_m": 1.0,
        "clearance_soft_m": 0.6, "threshold_circle_m": 0.6, "threshold_min_m": 0.2, "threshold_max_m": 0.4,
        "edge_keep_off_m": 2.0, "flight_keep_off_m": 0.1, "headroom_min_m": 0.3, "placement_error_m": 0.1,
        "spare_loss_share": 0.01,
    }  # fmt: skip
    return Standard(**{**values, **more})


def at(x: float, y: float, on: int = 0) -> Station:
    """A station."""
    return Station(level=on, x=x, y=y)


def two_rooms(**more: Any) -> Plan:
    """Two rooms of 4 m by 3 m, side by side, with a 0.80 m door in the middle of the wall between."""
    left, right = room("Left", box(0, 0, 4, 3)), room("Right", box(4.12, 0, 8.12, 3))
    way = door("left", "right", ((4.06, 1.1), (4.06, 1.9)), head_m=2.0)
    return plan([level([left, right], [way], **more)])


def straight_flight(*, width: float = 1.0, risers: int = 15, going: float = 0.254, rise: float = 2.8) -> Plan:
    """A hall below and a landing above, joined by a straight flight that runs east from x = 3 m."""
    length = (risers - 1) * going
    end = 3.0 + length
    hall = room("Hall", box(0, 0, 3, 3), "hall")
    landing = room("Landing", box(end, 0, end + 3, 3), "landing")
    low, high = 1.5 - width / 2.0, 1.5 + width / 2.0
    flight = Flight(
        id="flight", name="Flight", risers=risers, outline=box(3.0, low, end, high),
        foot=FlightEnd(level=0, space="hall", edge=((3.0, low), (3.0, high))),
        head=FlightEnd(level=1, space="landing", edge=((end, low), (end, high))),
    )  # fmt: skip
    return plan([level([hall]), level([landing], name="Upper floor", elevation_m=rise)], [flight])


__all__ = [
    "WALL", "Edge", "Flight", "FlightEnd", "Leaf", "Slope", "at", "box", "door", "kit", "level", "plan", "room",
    "standard", "straight_flight", "thing", "two_rooms",
]  # fmt: skip
