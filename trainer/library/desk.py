"""The engine at a desk: a floor, a kit and a standard from files, graded as the site grades, with nothing kept.

floor file + kit file + standard --plain_task--> task (the floor as it is drawn, no variation) --> grade
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, TypeVar

from django.conf import settings
from pydantic import Field, TypeAdapter
from pydantic.dataclasses import dataclass as border_dataclass
from shapely import Polygon

from scoring.border import FileProblems, Problem, read_value
from scoring.drill import Recipe, Shape, Task
from scoring.floor.gallery import read_rings
from scoring.floor.plan import Plan, Station
from scoring.kinds import kind
from scoring.rig.kit import Kit
from scoring.standard import BORDER, Standard
from trainer.library.drawing import draw_plan
from trainer.library.files import read_file

T = TypeVar("T")

DEFAULT_KIT = "heron-three"


@border_dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class StationsFile:
    """Stations in a file: {"stations": [{"level": 0, "x": 1.2, "y": 3.4}, ...]}."""

    stations: Annotated[tuple[Station, ...], Field(max_length=200)]


_STATIONS = TypeAdapter(StationsFile)
_OBJECT = TypeAdapter(dict[str, Any])


@dataclass(frozen=True, slots=True)
class Desk:
    """What a command was given to work with."""

    plan: Plan
    kit: Kit
    standard: Standard


def desk(floor: str, kit: str, standard: str) -> Desk:
    """Read the three files; each is named by a path or by its name in scenarios/. Raises FileProblems."""
    return Desk(_named("floors", floor, Plan), _named("kits", kit, Kit), _named("standards", standard, Standard))


def standard_at(name: str) -> Standard:
    """A house standard by its path or its name in scenarios/. Raises FileProblems."""
    return _named("standards", name, Standard)


def read_stations(path: Path) -> tuple[Station, ...]:
    """The stations in a file. Raises FileProblems."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileProblems([Problem("", f"cannot be read: {error}")]) from None
    return read_value(_STATIONS, data).stations


def read_polygon(path: Path) -> Polygon:
    """The bare polygon in a file, {"rings": [...]}. Raises FileProblems or GalleryError."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileProblems([Problem("", f"cannot be read: {error}")]) from None
    value: dict[str, Any] = read_value(_OBJECT, data)
    return read_rings(value)


def polygon_svg(polygon: Polygon, spots: Sequence[tuple[float, float]]) -> str:
    """A bare polygon with numbered spots as an SVG drawing, y up."""
    west, south, east, north = polygon.bounds
    size = max(east - west, north - south)
    rings = " ".join(
        "M" + " L".join(f"{x:.6g},{-y:.6g}" for x, y in ring.coords[:-1]) + " Z"
        for ring in (polygon.exterior, *polygon.interiors)
    )
    edge, radius = size / 400.0, size / 60.0
    marks = "".join(
        f'<path d="M{x - radius:.6g},{-y:.6g} l{radius:.6g},{-radius:.6g} {radius:.6g},{radius:.6g} '
        f'{-radius:.6g},{radius:.6g} Z" fill="#fff" stroke="#000" stroke-width="{edge:.6g}"/>'
        f'<text x="{x:.6g}" y="{-y + 0.35 * radius:.6g}" font-size="{radius:.6g}" text-anchor="middle">{number}</text>'
        for number, (x, y) in enumerate(spots, 1)
    )
    margin = 0.05 * size
    box = f"{west - margin:.6g} {-north - margin:.6g} {east - west + 2 * margin:.6g} {north - south + 2 * margin:.6g}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><path d="{rings}" fill="#ddd" fill-rule="evenodd" '
        f'stroke="#000" stroke-width="{edge:.6g}"/>{marks}</svg>\n'
    )


def plain_task(on: Desk) -> Task:
    """The floor as it is drawn, as a task to place stations in. Raises Unfit when nothing meets the standard."""
    recipe = Recipe(
        format="levelhead-recipe",
        version=1,
        name="at-a-desk",
        kind="place",
        title=on.plan.title,
        task="Place the stations.",
        floor=on.plan.name,
        kit=on.kit.name,
        skills=("D1", "D2", "D3", "D4"),
        settings={"vary": False},
    )
    return kind("place").make(recipe, on.plan, on.kit, on.standard, 0)


def write_sheets(out: Path, plan: Plan, stations: Sequence[Station], shapes: Sequence[Shape]) -> list[Path]:
    """Draw every level into a file of its own: OUT for one level, OUT-0, OUT-1 and so on for more."""
    written = []
    for level in range(len(plan.levels)):
        path = out if len(plan.levels) == 1 else out.with_name(f"{out.stem}-{level}{out.suffix or '.svg'}")
        path.write_text(draw_plan(plan, level, stations=stations, shapes=shapes, standalone=True), encoding="utf-8")
        written.append(path)
    return written


def _named(folder: str, name: str, wanted: type[T]) -> T:
    given = Path(name)
    path = given if given.suffix == ".json" else Path(settings.SCENARIOS) / folder / f"{name}.json"
    value: Any = read_file(path)
    if not isinstance(value, wanted):
        raise FileProblems([Problem(str(path), f"is no {wanted.__name__.lower()}")])
    return value


__all__ = [
    "DEFAULT_KIT",
    "Desk",
    "StationsFile",
    "desk",
    "plain_task",
    "polygon_svg",
    "read_polygon",
    "read_stations",
    "standard_at",
    "write_sheets",
]
