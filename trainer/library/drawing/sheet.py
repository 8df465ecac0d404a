"""One level of a plan, drawn whole."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from pathlib import Path

from shapely import Polygon, union_all
from shapely.ops import polylabel

from scoring.drill import Shape
from scoring.floor.plan import Level, Plan, Space, Station
from trainer.library.drawing import marks, pen, symbols, title_block, walls
from trainer.library.drawing.units import area_words

SHEET_PX = 720
"""Width a sheet is drawn for when nothing else is said [px]."""
MARGIN_PX = 44
FOOT_PX = 42
BLOCK_PX = 40
CHARACTER_PX = 6.6
TIGHT = 0.84
"""What a name shrinks to where it is short of room; where even that overflows it is left to the list."""
LOOKS = Path(__file__).resolve().parents[2] / "static" / "look"


def draw_plan(
    plan: Plan,
    level: int,
    *,
    stations: Sequence[Station | None] = (),
    shapes: Sequence[Shape] = (),
    groups: Mapping[str, Sequence[Shape]] | None = None,
    size_px: int | None = None,
    standalone: bool = False,
    name: str = "sheet",
    units: str = "m",
    block: title_block.TitleBlock | None = None,
    label: str = "",
) -> str:
    """One level of ``plan`` as an SVG element, north of the drawing up.

    ``stations`` are drawn solid and numbered from one in their given order (None keeps a number free);
    ``shapes`` are those of a grade; ``groups`` are those of its marks by criterion, drawn but not shown until
    asked for. ``size_px`` is the width that words and diamonds are sized for. ``name`` starts every id, so
    several sheets may share a page. A standalone drawing carries its own looks and is a file by itself.
    """
    west, south, east, north = extent(plan, level)
    width_px = size_px or SHEET_PX
    scale = paper_scale(plan, level, size_px)
    metres = scale / pen.CM
    margin = MARGIN_PX * metres
    foot = (FOOT_PX + (BLOCK_PX if block else 0)) * metres
    left, top = west - margin, north + margin
    width, height = max(east - west, 4.0) + 2 * margin, north - south + 2 * margin + foot
    standing = "".join(
        marks.station(i + 1, s.x, s.y, scale) for i, s in enumerate(stations) if s is not None and s.level == level
    )  # fmt: skip
    bar_y = south - margin - 6 * metres
    foot_block, below = "", 0.0
    if block:
        high = below = BLOCK_PX * metres
        foot_block = title_block.title_block(left, top - height + high, width, high, scale, block)
    parts = [
        _defs(name, scale),
        pen.tag("rect", x=left * pen.CM, y=-top * pen.CM, width=width * pen.CM, height=height * pen.CM, class_="paper"),
        _still(plan, level, name, units, round(scale, 4), "ground"),
        pen.tag("g", marks.draw_shapes(shapes, level, scale, name, units, ("area",)), class_="layer areas"),
        _still(plan, level, name, units, round(scale, 4), "fabric"),
        pen.tag("g", title_block.dimension((west, south), (east, south), scale, units, -18)
                + title_block.dimension((west, south), (west, north), scale, units, 9)
                + title_block.scale_bar((west, bar_y), scale, units)
                + title_block.north_tick((east + 28 * metres, south - 24 * metres), plan.north_deg, scale)
                + title_block.graduations(left, left + width, top - height + below, top, scale, units)
                + foot_block, class_="layer margin"),
        pen.tag("g", marks.draw_shapes(shapes, level, scale, name, units, ("line",)), class_="layer lines"),
        pen.tag("g", marks.draw_shapes(shapes, level, scale, name, units, ("label",)), class_="layer labels"),
        _still(plan, level, name, units, round(scale, 4), "names"),
        pen.tag("g", marks.draw_shapes(shapes, level, scale, name, units, ("point",)), class_="layer points"),
        pen.tag("g", standing, class_="layer stations"),
        mark_groups(groups or {}, level, scale, name, units),
    ]  # fmt: skip
    box = " ".join(pen.number(v * pen.CM) for v in (left, -top, width, height))
    described = label or f"Plan of {plan.title}, {plan.levels[level].name}"
    return pen.tag(
        "svg", (_looks() if standalone else "") + "".join(parts), xmlns="http://www.w3.org/2000/svg", class_="plan",
        viewbox=box, role="img", aria_label=described,
        width=width_px if standalone else None, height=round(width_px * height / width) if standalone else None,
        data_scale=f"{scale:.3f}", data_level=level,
    )  # fmt: skip


def draw_outline(plan: Plan, level: int, *, size_px: int, name: str) -> str:
    """One level in little: ground, walls and flights, to know a place by."""
    west, south, east, north = extent(plan, level)
    scale = paper_scale(plan, level, size_px)
    edge = 0.04 * (east - west)
    corners = (west - edge, -north - edge, east - west + 2 * edge, north - south + 2 * edge)
    parts = [_defs(name, scale)] + [
        _still(plan, level, name, "m", round(scale, 4), part) for part in ("ground", "walls")
    ]
    return pen.tag(
        "svg", "".join(parts), xmlns="http://www.w3.org/2000/svg", class_="plan", role="img",
        viewbox=" ".join(pen.number(v * pen.CM) for v in corners),
        aria_label=f"Outline of {plan.title}, {plan.levels[level].name}",
    )  # fmt: skip


def paper_scale(plan: Plan, level: int, size_px: int | None = None) -> float:
    """Paper units per pixel of a sheet that is ``size_px`` wide."""
    west, _, east, _ = extent(plan, level)
    return max(east - west, 4.0) * pen.CM / max(120, (size_px or SHEET_PX) - 2 * MARGIN_PX)


def mark_groups(groups: Mapping[str, Sequence[Shape]], level: int, scale: float, name: str, units: str) -> str:
    """The shapes of each mark in a group of their own, found by criterion."""
    drawn = "".join(
        pen.tag("g", inside, class_="mark-shapes", data_mark=key, id=f"{name}-mark-{key}")
        for key, shapes in groups.items()
        if (inside := marks.draw_shapes(shapes, level, scale, name, units))
    )
    return pen.tag("g", drawn, class_="layer marks")


def extent(plan: Plan, level: int) -> tuple[float, float, float, float]:
    """West, south, east and north end of what is drawn on a level [m], outer walls included."""
    storey = plan.levels[level]
    thick = walls.outer_wall_m(storey)
    boxes = [Polygon(s.outline).buffer(0.0 if s.outdoor else thick, join_style="mitre") for s in storey.spaces]
    boxes += [
        Polygon(f.outline).buffer(thick, join_style="mitre")
        for f in plan.flights
        if level in (f.foot.level, f.head.level)
    ]
    west, south, east, north = union_all(boxes).bounds
    return float(west), float(south), float(east), float(north)


@lru_cache(maxsize=512)
def _still(plan: Plan, level: int, name: str, units: str, scale: float, part: str) -> str:
    """The layers that no answer changes."""
    storey = plan.levels[level]
    if part == "ground":
        return pen.tag("g", walls.ground(storey, name), class_="layer ground-layer")
    if part == "walls":
        walls_only = pen.path(pen.region(walls.wall_region(plan, level)), "wall", fill_rule="evenodd")
        return pen.tag("g", walls.flights(plan, level, scale) + walls_only, class_="layer fabric")
    if part == "fabric":
        wall = pen.path(pen.region(walls.wall_region(plan, level)), "wall", fill_rule="evenodd")
        return (
            pen.tag("g", symbols.furniture(storey, units), class_="layer furniture")
            + pen.tag("g", walls.flights(plan, level, scale) + wall + walls.openings(storey) + walls.edges(storey),
                      class_="layer fabric")
        )  # fmt: skip
    return pen.tag("g", "".join(_name(s, storey, scale, units) for s in storey.spaces), class_="layer names")


def _name(space: Space, level: Level, scale: float, units: str) -> str:
    """A room's name over its area, turned along a narrow room, left out where nothing fits."""
    area = Polygon(space.outline)
    spot = polylabel(area, 0.05)
    if area.contains(area.centroid) and area.centroid.distance(area.exterior) > 0.9 * spot.distance(area.exterior):
        spot = area.centroid
    west, south, east, north = area.bounds
    wide, high = (east - west) * pen.CM / scale, (north - south) * pen.CM / scale
    need = len(space.name) * CHARACTER_PX
    turn = 90.0 if need > wide - 6 and high > wide * 1.3 else 0.0
    room = high if turn else wide
    lines = pen.words(space.name, "room-name halo", x=0, y=-1, text_anchor="middle")
    depth = wide if turn else high
    if depth > 40:
        lines += pen.words(area_words(area.area, units), "room-area halo", x=0, y=13, text_anchor="middle")
    tight = " tight" if need > room - 4 or depth < 40 else ""
    if need * TIGHT > room + 6 or depth < 14:
        tight += " crowded"
    return pen.fixed(
        (spot.x, spot.y), lines, scale, turn_deg=turn, class_=f"label room{tight}", data_room=space.id,
        data_need=round(need), data_wide=round((north - south if turn else east - west) * pen.CM),
        data_high=round((east - west if turn else north - south) * pen.CM),
    )  # fmt: skip


def _defs(name: str, scale: float) -> str:
    """The textures: hatch, cross hatch, stipple, gravel, water, spaced in screen pixels."""
    pitch = pen.number(7 * scale)
    half = pen.number(3.5 * scale)
    hatch = pen.path(f"M0 {half}H{pitch}", "hatch-line")
    cross = hatch + pen.path(f"M{half} 0V{pitch}", "hatch-line")
    dot = pen.number(0.8 * scale)
    far = pen.number(10 * scale)

    def pattern(key: str, side: str, inside: str, turn: str | None = None) -> str:
        return pen.tag("pattern", inside, id=f"{name}-{key}", width=side, height=side, patternUnits="userSpaceOnUse",
                       patternTransform=turn)  # fmt: skip

    def dots(*at: tuple[float, float]) -> str:
        return "".join(
            pen.tag("circle", cx=pen.number(x * scale), cy=pen.number(y * scale), r=dot, class_="dot") for x, y in at
        )

    wave = pen.number(5 * scale)
    ripple = pen.path(f"M0 {wave}Q{pen.number(2.5 * scale)} {pen.number(3 * scale)} {wave} {wave}T{far} {wave}", "wave")
    return pen.tag(
        "defs",
        pattern("once", pitch, hatch, "rotate(-45)") + pattern("twice", pitch, cross, "rotate(-45)")
        + pattern("stipple", far, dots((2, 2), (7, 6)))
        + pattern("gravel", far, dots((1, 1), (6, 3), (3, 7), (8, 8)))
        + pattern("water", far, ripple),
    )  # fmt: skip


@cache
def _looks() -> str:
    """The site's own inks and drawing rules as one style element, with every token already resolved."""
    tokens = (LOOKS / "inks.css").read_text(encoding="utf-8")
    raw = dict(re.findall(r"(--[\w-]+):\s*([^;]+);", tokens.split("/* dark */")[0]))
    rules = (LOOKS / "drawing.css").read_text(encoding="utf-8").split("/* screen only */")[0]
    rules = re.sub(r"/\*.*?\*/", "", rules, flags=re.S)
    for _ in range(3):
        rules = re.sub(r"var\((--[\w-]+)(?:,[^()]*)?\)", lambda m: raw.get(m[1], "currentColor").strip(), rules)
    return pen.tag("style", re.sub(r"\s+", " ", rules).replace("<", ""))
