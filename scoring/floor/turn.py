"""A plan turned by quarter turns and mirrored: the same place, drawn another way up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scoring.floor.plan import Edge, Flight, FlightEnd, Level, Opening, Plan, Point, Segment, Slope, Space, Thing

Move = Callable[[Point], Point]
Swing = Callable[[float], float]


def turned(plan: Plan, quarter_turns: int, mirrored: bool = False) -> Plan:
    """The plan mirrored left to right, if asked, then turned counter-clockwise by quarter turns.

    Heights, sizes and every distance stay; true north turns with the drawing.
    """
    turns = quarter_turns % 4

    def move(point: Point) -> Point:
        x, y = point
        if mirrored:
            x = -x
        for _ in range(turns):
            x, y = -y, x
        return (x + 0.0, y + 0.0)

    def swing(angle_deg: float) -> float:
        angle = (180.0 - angle_deg if mirrored else angle_deg) + 90.0 * turns
        return (angle + 180.0) % 360.0 - 180.0

    return moved(plan, move, swing)


def at_origin(plan: Plan) -> Plan:
    """The plan moved so that its spaces begin at x 0 and y 0, to a micrometre."""
    corners = [corner for level in plan.levels for space in level.spaces for corner in space.outline]
    x0, y0 = min(x for x, _ in corners), min(y for _, y in corners)
    return moved(plan, lambda point: (round(point[0] - x0, 6) + 0.0, round(point[1] - y0, 6) + 0.0))


def moved(plan: Plan, move: Move, swing: Swing = lambda angle_deg: angle_deg) -> Plan:
    """The plan with every point sent through ``move`` and every direction [deg] through ``swing``."""
    levels = tuple(_level(level, move, swing) for level in plan.levels)
    flights = tuple(_flight(flight, move) for flight in plan.flights)
    return replace(plan, north_deg=swing(plan.north_deg), levels=levels, flights=flights)


def _level(level: Level, move: Move, swing: Swing) -> Level:
    return replace(
        level,
        spaces=tuple(_space(space, move, swing) for space in level.spaces),
        openings=tuple(_opening(opening, move) for opening in level.openings),
        things=tuple(_thing(thing, move) for thing in level.things),
        edges=tuple(_edge(edge, move) for edge in level.edges),
    )


def _space(space: Space, move: Move, swing: Swing) -> Space:
    slopes = tuple(_slope(slope, move, swing) for slope in space.slopes)
    return replace(space, outline=ring(space.outline, move), slopes=slopes)


def _slope(slope: Slope, move: Move, swing: Swing) -> Slope:
    return replace(slope, at=move(slope.at), toward_deg=swing(slope.toward_deg))


def _opening(opening: Opening, move: Move) -> Opening:
    return replace(opening, jambs=segment(opening.jambs, move))


def _thing(thing: Thing, move: Move) -> Thing:
    return replace(thing, outline=ring(thing.outline, move))


def _edge(edge: Edge, move: Move) -> Edge:
    return replace(edge, line=segment(edge.line, move))


def _flight(flight: Flight, move: Move) -> Flight:
    return replace(
        flight,
        foot=_flight_end(flight.foot, move),
        head=_flight_end(flight.head, move),
        outline=ring(flight.outline, move),
    )


def _flight_end(end: FlightEnd, move: Move) -> FlightEnd:
    return replace(end, edge=segment(end.edge, move))


def ring(points: tuple[Point, ...], move: Move) -> tuple[Point, ...]:
    """A ring with each corner moved."""
    return tuple(move(point) for point in points)


def segment(ends: Segment, move: Move) -> Segment:
    """A segment with both ends moved."""
    return (move(ends[0]), move(ends[1]))


__all__ = ["at_origin", "moved", "ring", "segment", "turned"]
