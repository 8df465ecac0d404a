"""The sheets of an attempt: its plan with the given stations before the answer, with the grade's picture after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter
from shapely import Polygon
from shapely.ops import polylabel

from scoring.drill import Shape
from scoring.floor.plan import Plan, Station
from trainer.drills.models import Attempt
from trainer.library.drawing import draw_plan
from trainer.library.drawing.marks import draw_shapes
from trainer.library.drawing.sheet import mark_groups, paper_scale

_PLAN = TypeAdapter(Plan)
JUDGED = frozenset({"spare", "stand-allowed", "stand-refused"})
"""Marks that take the place of the station they are about."""
SWITCHES = {
    "seen": {"seen-once", "seen-twice", "unseen"},
    "links": {"link", "link-blocked", "link-narrow", "link-long"},
    "reference": {"reference", "reference-link"},
}
SAME_M = 0.002


@dataclass(frozen=True, slots=True)
class Case:
    """An attempt's public part as values."""

    kind: str
    plan: Plan
    given: tuple[Station, ...]
    asks: dict[str, Any]
    skills: tuple[str, ...]

    @classmethod
    def of(cls, attempt: Attempt) -> Case:
        """The case of an attempt, from its public part alone (skills: from its grade's evidence, once there)."""
        public = attempt.public
        stored = getattr(attempt, "answer", None)
        skills = tuple(e["skill"] for e in stored.grade.body["evidence"]) if stored else ()
        return cls(
            kind=attempt.kind,
            plan=_PLAN.validate_python(public["plan"]),
            given=tuple(Station(**spot) for spot in public.get("given", ())),
            asks=public.get("asks", {}),
            skills=skills,
        )

    @property
    def asks_stations(self) -> bool:
        """Whether the answer holds stations put on the plan."""
        return self.kind in {"place", "join", "threshold"} or (self.kind == "stand" and not self.given)

    @property
    def asked(self) -> list[Shape]:
        """The room that the task is about, to be outlined; none where it is about the whole place."""
        level, wanted = self.asks.get("level", 0), self.asks.get("space")
        spaces = self.plan.levels[level].spaces
        return [Shape("asked", "area", level, [list(s.outline)]) for s in spaces if s.id == wanted]

    def own_stations(self, body: dict[str, Any]) -> tuple[Station, ...]:
        """The stations that an answer put down."""
        return tuple(Station(level=s["level"], x=s["x"], y=s["y"]) for s in body.get("stations", ()))

    def stations_of(self, body: dict[str, Any]) -> tuple[Station, ...]:
        """All stations on the sheet in the order of their numbers: the given ones, then the person's own."""
        return self.given + self.own_stations(body)


def _sheets(plan: Plan, drawings: list[str]) -> list[dict[str, Any]]:
    return [
        {"level": i, "name": level.name, "svg": svg}
        for i, (level, svg) in enumerate(zip(plan.levels, drawings, strict=True))
    ]


def open_sheets(case: Case, units: str) -> list[dict[str, Any]]:
    """Each level with nothing on it but the given stations and the room that is asked for."""
    drawings = [
        draw_plan(case.plan, i, stations=case.given, shapes=case.asked, name=f"l{i}", units=units)
        for i in range(len(case.plan.levels))
    ]
    sheets = _sheets(case.plan, drawings)
    for sheet in sheets:
        sheet["given"] = sum(station.level == sheet["level"] for station in case.given)
    return sheets


def _same_spot(station: Station, shape: Shape) -> bool:
    x, y = shape.at[0] if isinstance(shape.at[0], list) else shape.at
    return station.level == shape.level and abs(station.x - x) < SAME_M and abs(station.y - y) < SAME_M


def shapes_of(rows: Sequence[dict[str, Any]]) -> list[Shape]:
    """Stored shapes as values."""
    return [Shape(r["role"], r["form"], r["level"], r["at"], r.get("label", "")) for r in rows]


def graded_sheets(case: Case, stations: Sequence[Station], grade: dict[str, Any], units: str) -> list[dict[str, Any]]:
    """Each level with the stations, the grade's picture, and every mark's own shapes ready to be shown."""
    shapes = [*case.asked, *shapes_of(grade["shapes"])]
    groups = {f"{n}": shapes_of(mark["shapes"]) for n, mark in enumerate(grade["marks"], 1)}
    judged = [shape for shape in shapes if shape.role in JUDGED]
    left = [None if any(_same_spot(station, shape) for shape in judged) else station for station in stations]
    return _sheets(
        case.plan,
        [
            draw_plan(case.plan, i, stations=left, shapes=shapes, groups=groups, name=f"l{i}", units=units)
            for i in range(len(case.plan.levels))
        ],
    )


def drawn(grade: dict[str, Any]) -> set[str]:
    """What a grade's picture holds, by the switches that turn it on and off."""
    roles = {shape["role"] for shape in grade["shapes"]}
    return {name for name, of in SWITCHES.items() if roles & of}


def graded_layers(case: Case, grade: dict[str, Any], units: str) -> list[dict[str, str]]:
    """The layers of each level that another answer changes, as SVG."""
    shapes = [*case.asked, *shapes_of(grade["shapes"])]
    groups = {f"{n}": shapes_of(mark["shapes"]) for n, mark in enumerate(grade["marks"], 1)}
    out = []
    for i in range(len(case.plan.levels)):
        scale, name = paper_scale(case.plan, i), f"l{i}"
        layers = {
            kind: draw_shapes(shapes, i, scale, name, units, (form,))
            for kind, form in (("areas", "area"), ("labels", "label"), ("lines", "line"), ("points", "point"))
        }
        out.append({**layers, "marks": mark_groups(groups, i, scale, name, units)})
    return out


def sheet_data(plan: Plan, first: int = 0, own: Sequence[Any] = ()) -> dict[str, Any]:
    """What the page's modules need to know of a plan: rooms by name with a spot inside, nothing of any key."""
    levels = []
    for level in plan.levels:
        spaces = []
        for space in level.spaces:
            spot = polylabel(Polygon(space.outline), 0.1)
            spaces.append(
                {
                    "id": space.id,
                    "name": space.name,
                    "outline": space.outline,
                    "spot": [round(spot.x, 2), round(spot.y, 2)],
                }
            )
        levels.append({"name": level.name, "spaces": spaces})
    return {"levels": levels, "first": first, "own": own}


__all__ = ["Case", "drawn", "graded_layers", "graded_sheets", "open_sheets", "shapes_of", "sheet_data"]
