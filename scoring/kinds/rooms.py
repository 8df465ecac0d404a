"""What the rooms of a case are like: how large a circle is free in each, which are tiny, what makes a plan hard."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random

from shapely.geometry import Point, Polygon

from scoring.drill import Json, Mark
from scoring.floor.findings import Cover, Stand
from scoring.floor.footing import free_circle, from_door_line
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.kinds.door_line import span, zone_m
from scoring.kinds.drawing import point, station_point
from scoring.kinds.words import Names, metres, stations

DRAWS = 3


def circles(place: Place) -> dict[str, float]:
    """Radius of the largest free circle of every indoor room [m], by "level/space"."""
    return {
        f"{number}/{space.id}": free_circle(place, number, space.id)[0]
        for number, level in enumerate(place.plan.levels)
        for space in level.spaces
        if not space.outdoor
    }


def tiny(place: Place) -> list[tuple[int, str]]:
    """Rooms to be shown whose free circle is smaller than the standard's: taken from the door line."""
    return [
        (number, space.id)
        for number, level in enumerate(place.plan.levels)
        for space in level.spaces
        if space.cover and from_door_line(place, number, space.id)
    ]


def tiny_marks(
    place: Place,
    placed: Sequence[Station],
    stands: Sequence[Stand],
    covers: Sequence[Cover],
    radii: Mapping[str, float],
    weight: float,
) -> list[Mark]:
    """One mark for each tiny room: shown, and not stood in."""
    small = tiny(place)
    return [_tiny_mark(place, room, placed, stands, covers, radii, weight / len(small)) for room in small]


def _tiny_mark(
    place: Place,
    room: tuple[int, str],
    placed: Sequence[Station],
    stands: Sequence[Stand],
    covers: Sequence[Cover],
    radii: Mapping[str, float],
    weight: float,
) -> Mark:
    level, space = room
    name = Names(place.plan).room(level, space)
    standard = place.standard
    radius = radii[f"{level}/{space}"]
    within = [i for i, found in enumerate(stands) if (found.level, found.space) == room]
    shown = any((cover.level, cover.space) == room and cover.holds for cover in covers)
    zone = zone_m(place, level, space)
    mend = "Take it from outside its door, as near as the legs fit, with the door fully open."
    if zone is not None:
        mend = f"Take it from {span(zone)} outside its door, on the axis of the door, with the door fully open."
    if within:
        who = stations([i + 1 for i in within]).capitalize()
        words = f"{who} inside {name}: the free circle there has only {metres(radius)} radius."
    elif shown:
        words, mend = f"{name[:1].upper()}{name[1:]} is tiny and shown from outside, as it should be.", ""
    else:
        words = f"{name[:1].upper()}{name[1:]} is too small to stand in and is not shown from its door line."
    circle = free_circle(place, level, space)
    shapes = [point("reason", level, circle[1], metres(radius))]
    shapes += [station_point("near", placed[i], str(i + 1)) for i in within]
    return Mark(
        criterion="tiny",
        title=f"Tiny room: {name}",
        credit=float(shown and not within),
        weight=weight,
        value=radius,
        limit=standard.threshold_circle_m,
        unit="m",
        words=words,
        mend=mend,
        shapes=tuple(shapes),
    )


@dataclass(frozen=True, slots=True)
class Features:
    """Counts of what makes a plan hard to place on."""

    rooms: int
    flights: int
    tiny: int
    inner_corners: int


def features(place: Place) -> Features:
    """The features of a place."""
    spaces = [space for level in place.plan.levels for space in level.spaces if space.cover]
    inner = sum(_inner_corners(Polygon(space.outline)) for space in spaces)
    return Features(len(spaces), len(place.plan.flights), len(tiny(place)), inner)


def _inner_corners(shape: Polygon) -> int:
    """Corners that turn inward."""
    corners = list(shape.exterior.coords[:-1])
    turn = 1.0 if shape.exterior.is_ccw else -1.0
    count = 0
    for i, b in enumerate(corners):
        a, c = corners[i - 1], corners[(i + 1) % len(corners)]
        count += turn * ((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) < -1e-9
    return count


def stations_json(spots: Sequence[tuple[int, float, float]]) -> list[Json]:
    """Stations as an answer has them."""
    return [{"level": level, "x": x, "y": y} for level, x, y in spots]


def thrown(place: Place, count: int, seed: int) -> list[Json]:
    """Answers of a person who drops so many stations on the floor without looking at the rooms."""
    rng = Random(f"thrown/{seed}")  # noqa: S311 (no secret)
    shapes = [
        (number, Polygon(space.outline)) for number, level in enumerate(place.plan.levels) for space in level.spaces
    ]
    areas = [shape.area for _, shape in shapes]
    answers: list[Json] = []
    for _ in range(DRAWS):
        spots = []
        for number, shape in rng.choices(shapes, weights=areas, k=count):
            spots.append((number, *_thrown_at(shape, rng)))
        answers.append({"stations": stations_json(spots)})
    return answers


def thrown_into(place: Place, level: int, space: str, count: int, seed: int) -> list[Json]:
    """So many answers of one station each, dropped anywhere into one room."""
    rng = Random(f"thrown into/{seed}")  # noqa: S311 (no secret)
    shape = Polygon(place.plan.space(level, space).outline)
    return [{"stations": stations_json([(level, *_thrown_at(shape, rng))])} for _ in range(count)]


def _thrown_at(shape: Polygon, rng: Random) -> tuple[float, float]:
    left, low, right, high = shape.bounds
    while True:
        x, y = round(rng.uniform(left, right), 3), round(rng.uniform(low, high), 3)
        if shape.covers(Point(x, y)):
            return x, y


def heaped(place: Place, count: int) -> Json:
    """The answer of so many stations, all in the middle of the largest free circle indoors."""
    free = circles(place)
    level, _, space = max(free, key=free.__getitem__).partition("/")
    _, (x, y) = free_circle(place, int(level), space)
    return {"stations": stations_json([(int(level), round(x, 3), round(y, 3))] * count)}


__all__ = ["Features", "circles", "features", "heaped", "stations_json", "thrown", "thrown_into", "tiny", "tiny_marks"]
