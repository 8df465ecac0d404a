"""A place as a measured drawing: levels, spaces, openings, objects, edges and flights.

Metres; x runs east on the drawing, y north, z up. A *space* is the clear interior polygon of a room, or an
outdoor zone; what lies between spaces is *wall*. Two spaces that share a stretch of outline have no wall
there (an open plan with named areas). An *opening* joins two spaces, or a space and the outside::

        space A            jambs[0]            jambs[1]           space A
      ─────────────────────────┐                  ┌──────────────────────   ▲
                                ·················                           │ depth_m
      ─────────────────────────┘                  └──────────────────────   ▼
        space B                                                   space B

The jambs lie on the middle line of the wall; ``depth_m`` is the wall's thickness. Heights of openings and
objects count from the floor of the space they belong to (for an opening: the lower of the two floors).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field
from pydantic.dataclasses import dataclass

from scoring.standard import BORDER, Slug, Words

REACH_M = 500.0
"""No coordinate of a plan lies farther out than this."""

Coordinate = Annotated[float, Field(ge=-REACH_M, le=REACH_M, allow_inf_nan=False)]
Height = Annotated[float, Field(ge=-10.0, le=30.0, allow_inf_nan=False)]
Point = tuple[Coordinate, Coordinate]
Segment = tuple[Point, Point]


def _open_ring(ring: tuple[Point, ...]) -> tuple[Point, ...]:
    if len(ring) > 1 and ring[0] == ring[-1]:
        raise ValueError("the last corner repeats the first; leave it out")
    return ring


Ring = Annotated[tuple[Point, ...], Field(min_length=3, max_length=400), AfterValidator(_open_ring)]
"""Corners of a simple polygon in order, the first not repeated; either sense, read as counter-clockwise."""

OUTSIDE = "outside"
"""What an opening joins when nothing is drawn beyond it."""

SpaceUse = Literal[
    "living", "kitchen", "dining", "bedroom", "study", "bath", "wc", "closet", "utility", "store", "hall",
    "landing", "half-landing", "attic", "garage", "conservatory", "balcony", "terrace", "yard", "path", "drive",
    "road", "pool",
]  # fmt: skip
OUTDOOR_USES = frozenset({"balcony", "terrace", "yard", "path", "drive", "road", "pool"})
NO_STAND_USES = frozenset({"drive", "road", "pool"})
"""Never a tripod here, whatever can be seen from it."""

DOOR_LINE_USES = frozenset({"bath", "wc", "closet", "utility", "store"})
"""Rooms that are taken from their door line when they are too tiny to stand in; a narrow hall is not, one stands in
its middle."""

OpeningKind = Literal["door", "passage", "window", "glass"]
WALK_KINDS = frozenset({"door", "passage"})
"""Openings that one can walk through; only these carry a sight link."""

ObjectKind = Literal[
    "sofa", "armchair", "table", "chair", "desk", "bed", "cot", "wardrobe", "shelf", "sideboard", "counter",
    "wall-cupboard", "island", "stove", "fridge", "sink", "basin", "wc", "bath", "shower", "boiler", "washer",
    "column", "chimney", "beam", "rail", "fan", "lamp", "mirror", "plant", "piano", "box", "tree", "hedge",
    "fence", "bench", "car", "shed", "bin",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Slope:
    """A sloped ceiling: ``height_m`` over the space's floor at ``at``, falling by ``fall_deg`` toward
    ``toward_deg`` (counter-clockwise from east). A space's ceiling is the lowest of its slopes and its flat part."""

    at: Point
    height_m: Height
    fall_deg: Annotated[float, Field(gt=0.0, lt=80.0)]
    toward_deg: Annotated[float, Field(ge=-360.0, le=360.0)]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Space:
    """A room or an outdoor zone, by the clear polygon of its floor."""

    id: Slug
    name: Words
    use: SpaceUse
    outline: Ring
    floor_m: Height = 0.0
    """Height of this floor over the level's floor: a split level, a half-landing, a sunken lounge."""
    ceiling_m: Annotated[float, Field(gt=0.0, le=30.0)] | None = None
    """Clear height over this floor; the level's when left out. Outdoors there is none."""
    slopes: Annotated[tuple[Slope, ...], Field(max_length=8)] = ()
    cover: bool = True
    """Whether its floor has to be shown."""

    @property
    def outdoor(self) -> bool:
        """Whether it lies under the open sky."""
        return self.use in OUTDOOR_USES


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Leaf:
    """The leaf of a door: hinged at ``jambs[hinge]``, swinging into space ``into``; 0 deg is shut."""

    hinge: Literal[0, 1]
    into: Slug
    open_deg: Annotated[float, Field(ge=0.0, le=180.0)]
    thickness_m: Annotated[float, Field(ge=0.01, le=0.1)] = 0.04


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Opening:
    """A hole in a wall: door, passage, window, or fixed glass from the floor."""

    id: Slug
    kind: OpeningKind
    between: tuple[Slug, Slug]
    """Ids of the two spaces, or one id and "outside"."""
    jambs: Segment
    depth_m: Annotated[float, Field(gt=0.0, le=1.0)]
    sill_m: Annotated[float, Field(ge=0.0, le=5.0)] = 0.0
    head_m: Annotated[float, Field(gt=0.0, le=10.0)] = 2.0
    leaf: Leaf | None = None


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Thing:
    """Furniture, a fixture, a post, a tree: a footprint with a base and a top [m over the space's floor]."""

    id: Slug
    name: Words
    kind: ObjectKind
    space: Slug
    outline: Ring
    base_m: Annotated[float, Field(ge=0.0, le=20.0)] = 0.0
    height_m: Annotated[float, Field(gt=0.0, le=20.0)]
    """Height of its top over the floor (not its thickness)."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Edge:
    """A drop or a water's edge; an unguarded one keeps the tripod off."""

    id: Slug
    name: Words
    kind: Literal["drop", "water"]
    line: Segment
    guarded: bool


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Level:
    """One storey with everything on it."""

    name: Words
    elevation_m: Height
    ceiling_m: Annotated[float, Field(gt=0.0, le=30.0)]
    spaces: Annotated[tuple[Space, ...], Field(min_length=1, max_length=80)]
    openings: Annotated[tuple[Opening, ...], Field(max_length=200)] = ()
    things: Annotated[tuple[Thing, ...], Field(max_length=400)] = ()
    edges: Annotated[tuple[Edge, ...], Field(max_length=50)] = ()


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class FlightEnd:
    """Where a flight meets a floor: the edge that one steps over."""

    level: Annotated[int, Field(ge=0, le=9)]
    space: Slug
    edge: Segment


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Flight:
    """A straight run of steps from its foot up to its head; a dog-leg is two of them and a half-landing.

    The outline is the flight in plan, drawn on the foot's level; a well of that shape is open above it as far
    as the ceiling of the head's level.
    """

    id: Slug
    name: Words
    foot: FlightEnd
    head: FlightEnd
    outline: Ring
    risers: Annotated[int, Field(ge=1, le=40)]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Plan:
    """An invented place, whole."""

    format: Literal["levelhead-floor"]
    version: Literal[1]
    name: Slug
    title: Words
    note: Words
    north_deg: Annotated[float, Field(ge=-360.0, le=360.0)]
    """Direction of true north on the drawing, counter-clockwise from east (90 = up the sheet)."""
    entrance: Slug
    """The space one comes in by."""
    levels: Annotated[tuple[Level, ...], Field(min_length=1, max_length=6)]
    flights: Annotated[tuple[Flight, ...], Field(max_length=20)] = ()

    def space(self, level: int, space_id: str) -> Space:
        """The space of that id on that level; KeyError when there is none."""
        for space in self.levels[level].spaces:
            if space.id == space_id:
                return space
        raise KeyError(space_id)


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Station:
    """A place where one full spin is shot: a level and a point on its plan [m]."""

    level: Annotated[int, Field(ge=0, le=9)]
    x: Coordinate
    y: Coordinate


__all__ = [
    "DOOR_LINE_USES", "NO_STAND_USES", "OUTDOOR_USES", "OUTSIDE", "REACH_M", "WALK_KINDS", "Edge", "Flight",
    "FlightEnd", "Leaf", "Level", "Opening", "Plan", "Point", "Ring", "Segment", "Slope", "Space", "Station", "Thing",
]  # fmt: skip
