"""What the floor engine finds out about a set of stations: values only, in the drawing's own coordinates.

A station is named by its index in the given order (people see index + 1). Polygons are lists of rings, the
first of each the outer one, counter-clockwise, not closed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Spot = tuple[float, float]
Polygon = tuple[tuple[Spot, ...], ...]

StandFault = Literal[
    "outside", "on-flight", "no-stand-zone", "legs", "way-out", "flight-end", "edge", "headroom", "head-hits",
]  # fmt: skip
"""Hard reasons why a tripod may not stand there.

outside: in a wall, a thing or no space at all. on-flight: on treads. no-stand-zone: road, drive, pool.
legs: the leg circle does not fit. way-out: in a doorway. flight-end: over the foot or head of a flight.
edge: too near an unguarded drop or water. headroom: too little height over the lens. head-hits: something at
lens height (shelf, fan, lamp, beam) within the head's own width.
"""


@dataclass(frozen=True, slots=True)
class StandReason:
    """One hard reason, with the number that failed and its limit [m]."""

    fault: StandFault
    value_m: float
    limit_m: float
    at: Spot
    """The nearest point of what is in the way."""
    what: str
    """Its name on the plan, in words ("the dining table", "a wall of the hall")."""


@dataclass(frozen=True, slots=True)
class Stand:
    """Whether a tripod may stand at one station."""

    level: int
    space: str | None
    reasons: tuple[StandReason, ...]
    clearance_m: float
    """Distance to the nearest wall or thing, at the floor or at lens height."""
    clearance_at: Spot
    clearance_what: str
    firm: bool
    """Whether the verdict is the same within the placement error all round."""

    @property
    def allowed(self) -> bool:
        """Whether no hard reason stands against it."""
        return not self.reasons


LinkFault = Literal["blocked", "narrow", "long"]


@dataclass(frozen=True, slots=True)
class Link:
    """The sight from one station to another."""

    a: int
    b: int
    length_m: float
    clear_m: float
    """Clear width of the strip, twice the distance from its middle line to the nearest thing; 0 when blocked."""
    fault: LinkFault | None
    fault_at: Spot | None
    """Where it is blocked or narrowest."""
    over: str | None
    """Id of the flight it runs over, if any."""
    firm: bool
    """Whether the verdict is the same within the placement error all round."""
    benefit: bool = False
    """True when it counts only thanks to the placement error."""

    @property
    def holds(self) -> bool:
        """Whether it counts as a link (with the benefit of the placement error)."""
        return self.fault is None or self.benefit


@dataclass(frozen=True, slots=True)
class Corner:
    """A convex corner of a room and how many of its two wall stubs are seen (0, 1, 2)."""

    at: Spot
    stubs: int


@dataclass(frozen=True, slots=True)
class Cover:
    """How much of one space's floor is seen."""

    level: int
    space: str
    floor_m2: float
    seen_m2: float
    twice_m2: float
    best_share: float
    """The most that the allowed stands of this plan can see together."""
    target_share: float
    asked: bool
    """Whether this floor has to be shown at all."""
    corners: tuple[Corner, ...]
    once: tuple[Polygon, ...]
    """Floor that exactly one station sees."""
    twice: tuple[Polygon, ...]
    """Floor that two or more see."""
    unseen: tuple[Polygon, ...]
    """The largest piece first."""
    worst_unseen: Spot | None
    """A point inside the largest unseen piece."""
    slack: float = 0.0
    """Share that the placement error may be worth here."""

    @property
    def share(self) -> float:
        """Share of the floor that some station sees, 0..1."""
        return self.seen_m2 / self.floor_m2 if self.floor_m2 > 0 else 1.0

    @property
    def holds(self) -> bool:
        """Whether the target is met (with the benefit of the placement error)."""
        return not self.asked or self.share + self.slack >= self.target_share - 1e-9


@dataclass(frozen=True, slots=True)
class OpeningSeen:
    """A door, passage, window or pane and the stations that see its middle."""

    level: int
    opening: str
    stations: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class WallsSeen:
    """How much of one space's walls is seen at lens height within range, and how squarely."""

    level: int
    space: str
    seen_m: float
    flat_m: float
    """Seen only at a flatter angle than the standard's incidence."""
    flat: tuple[tuple[Spot, Spot], ...]
    """Those stretches, without the shortest."""


@dataclass(frozen=True, slots=True)
class Repair:
    """The fewest stations that join the islands; ``stations`` is (level, x, y) each. Empty when none exists."""

    joins: tuple[tuple[int, ...], ...]
    stations: tuple[tuple[int, float, float], ...]
    proven: bool


@dataclass(frozen=True, slots=True)
class Survey:
    """Everything measured about a set of stations on a plan."""

    stands: tuple[Stand, ...]
    links: tuple[Link, ...]
    """Every pair on the same level or joined by a flight, a < b; blocked ones too."""
    islands: tuple[tuple[int, ...], ...]
    cut_stations: tuple[int, ...]
    """Stations whose loss would break an island apart."""
    spare: tuple[int, ...]
    """Stations that could each go alone without loss."""
    spare_together: tuple[int, ...]
    """Stations that could all go at once, found one after another from the least gain."""
    gain_m2: tuple[float, ...]
    """Floor that only this station shows."""
    covers: tuple[Cover, ...]
    openings: tuple[OpeningSeen, ...]
    walls: tuple[WallsSeen, ...]


@dataclass(frozen=True, slots=True)
class Reference:
    """The fewest stations of a named list of allowed stands that meet the standard, connected.

    *proven* only where ``upper`` (verified on exact area) equals ``lower`` (a relaxation on the same list).
    ``anywhere`` bounds every placement there is, listed or not.
    """

    stations: tuple[tuple[int, float, float], ...]
    """The set to draw, (level, x, y): it passes the grade with the placement error to spare on every link."""
    upper: int
    lower: int
    anywhere: int
    best_share: dict[str, float]
    """Per "level/space": the most that all listed stands together can see of its floor."""
    listed: int
    list_hash: str
    rounds: int
    solver: str
    gap_note: str
    """Empty when proven; else why the gap stands, in words."""

    @property
    def proven(self) -> bool:
        """Whether no smaller set exists on the list."""
        return self.upper == self.lower


__all__ = [
    "Corner", "Cover", "Link", "LinkFault", "OpeningSeen", "Polygon", "Reference", "Repair", "Spot", "Stand",
    "StandFault", "StandReason", "Survey", "WallsSeen",
]  # fmt: skip
