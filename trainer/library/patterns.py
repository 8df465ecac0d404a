"""Sample values for the page that shows every part in every state."""

from __future__ import annotations

from typing import Any

from pydantic import TypeAdapter

from scoring.drill import Shape
from scoring.floor.plan import Plan, Station
from trainer.library.drawing import draw_plan
from trainer.library.icons import ICONS
from trainer.library.terms import GROUPS, Explained
from trainer.people.models import Firm
from trainer.renders.bench import view_of
from trainer.renders.setups import NoSuchSetup, setup_of

_ROOMS = [
    ("main", "Main room", "living", [(0, 0), (5, 0), (5, 4), (0, 4)]),
    ("hall", "Hall", "hall", [(5.12, 0), (6.6, 0), (6.6, 4), (5.12, 4)]),
]
_PLAN: dict[str, Any] = {
    "format": "levelhead-floor",
    "version": 1,
    "name": "pattern",
    "title": "Pattern sheet",
    "note": "Every mark once.",
    "north_deg": 75,
    "entrance": "hall",
    "levels": [
        {
            "name": "Ground floor",
            "elevation_m": 0,
            "ceiling_m": 2.5,
            "spaces": [{"id": i, "name": n, "use": u, "outline": o} for i, n, u, o in _ROOMS],
            "openings": [
                {
                    "id": "door",
                    "kind": "door",
                    "between": ["main", "hall"],
                    "jambs": [(5.06, 1.2), (5.06, 2.0)],
                    "depth_m": 0.12,
                    "leaf": {"hinge": 0, "into": "main", "open_deg": 90},
                },
                {
                    "id": "window",
                    "kind": "window",
                    "between": ["main", "outside"],
                    "jambs": [(1, -0.15), (3, -0.15)],
                    "depth_m": 0.3,
                    "sill_m": 0.9,
                },
            ],
            "things": [
                {
                    "id": "sofa",
                    "name": "sofa",
                    "kind": "sofa",
                    "space": "main",
                    "height_m": 0.8,
                    "outline": [(0.1, 1), (1, 1), (1, 3), (0.1, 3)],
                }
            ],
        }
    ],
}


def _square(role: str, x: float, y: float, size: float, label: str = "") -> Shape:
    ring = [[x, y], [x + size, y], [x + size, y + size], [x, y + size]]
    return Shape(role, "area", 0, [ring], label)


def _shapes() -> list[Shape]:
    points = ["reference", "missing", "spare", "stand-allowed", "stand-refused", "island"]
    shapes = [
        _square("seen-once", 1.2, 2.2, 1.6),
        _square("seen-twice", 2.8, 2.2, 1.6),
        _square("unseen", 1.2, 0.2, 0.9, "0.8 m²"),
    ]
    shapes += [Shape(role, "point", 0, [0.5 + 0.75 * i, 3.7], str(i + 1)) for i, role in enumerate(points)]
    lines = [("link", 0.4), ("link-narrow", 0.8), ("link-long", 2.6), ("link-blocked", 3.0)]
    shapes += [Shape(role, "line", 0, [[2.4, y], [6.2, y]], "3.8 m") for role, y in lines]
    shapes.append(Shape("near", "line", 0, [[5.8, 3.6], [5.12, 3.6]], "0.68 m"))
    return shapes


def _mark(credit: float, **change: Any) -> dict[str, Any]:
    mark = {
        "criterion": "floor",
        "title": "Floor seen",
        "credit": credit,
        "weight": 0.4,
        "value": 83.1,
        "limit": 90.0,
        "unit": "%",
        "words": "83 % of the main room is seen; 1.2 m² behind the sofa is not.",
        "mend": "" if credit == 1 else "Move station 1 by 0.60 m toward the window.",
        "shapes": [],
        "firm": True,
    }
    return {**mark, **change}


_SPOTS = [
    ("worst", 35.0, -12.0, 9.0, 7.0, "doubling 1.64° at 1.0 m"),
    ("seam", 60.0, 0.0, 4.0, 60.0, "seam 1"),
    ("haze", -40.0, 10.0, 25.0, 20.0, "haze"),
]


def _view() -> dict[str, Any] | None:
    """A frame to look round, with something to point at and spots to mark; none while the shelf is empty."""
    try:
        view = view_of(setup_of({"fault": "F4"}))
    except NoSuchSetup:
        return None
    spots = [
        {
            "role": role,
            "frame": "frame",
            "azimuth_deg": a,
            "elevation_deg": e,
            "width_deg": w,
            "height_deg": h,
            "label": words,
        }
        for role, a, e, w, h, words in _SPOTS
    ]
    return {**view, "spots": spots, "spots_most": 3}


def samples(units: str) -> dict[str, Any]:
    """Everything the page needs."""
    plan = TypeAdapter(Plan).validate_python(_PLAN)
    marks = [
        _mark(1.0),
        _mark(0.6, title="Sight links", value=0.31, limit=0.4, unit="m", firm=False),
        _mark(0.0, title="Stations", value=3, limit=2, unit=""),
    ]
    grades = [
        {"verdict": v, "credit": c, "summary": s, "marks": marks}
        for v, c, s in (
            ("holds", 1.0, "Everything is shown from one joined set."),
            ("look-again", 0.71, "One room falls short."),
            ("fails", 0.2, "Two islands."),
        )
    ]
    return {
        "sheet": draw_plan(
            plan,
            0,
            stations=[Station(level=0, x=4.2, y=1.6), Station(level=0, x=5.8, y=1.6)],
            shapes=_shapes(),
            name="pattern",
            units=units,
        ),
        "grades": grades,
        "marked": {"marks": marks},
        "other_firms": [Firm(name="An invented firm"), Firm(name="Another one")],
        "view": _view(),
        "rows": range(1, 4),
        "icons": sorted(ICONS),
        "terms": GROUPS[0][1][:2],
        "first_use": Explained().linked("It shows at azimuth 20°, elevation 5°."),
        "units": units,
    }


__all__ = ["samples"]
