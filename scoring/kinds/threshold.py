"""Threshold: a tiny room, shot from inside or from its door line, and where.

criterion  weight  what earns it
choice     0.40    inside where the largest free circle is at least the standard's, else from the door line
spot       0.30    inside: the legs fit and things keep off; door line: the standard's distance, on the door's axis
stand      0.10    a tripod may stand there
floor      0.20    the room's floor seen, against the best spot of the right sort
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from random import Random

from scoring.drill import Grade, Json, KindName, Mark, Recipe, Shape, Task, Unfit
from scoring.floor.findings import Stand
from scoring.floor.footing import free_circle
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import DOOR_LINE_USES, Plan, Station
from scoring.floor.stands import passes, stand
from scoring.kinds.answers import choice, fields, read_stations
from scoring.kinds.best_spot import NO_TRIPOD, seen_shapes, share_seen, view_mark
from scoring.kinds.case import (
    Source,
    build,
    place_of,
    placed_as_stored,
    snapped,
    station_json,
    with_guess_floor,
)
from scoring.kinds.door_line import door_spots, doors, offset, span, zone_m
from scoring.kinds.drawing import line, point, station_point
from scoring.kinds.footholds import allowed_mark, near_shape, refused_mark
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.kinds.tally import tally
from scoring.kinds.words import NO_CODE_CHECK, Names, metres, spot, start
from scoring.rig.kit import Kit
from scoring.standard import Slug, Standard

NAME: KindName = "threshold"
TITLE = "Inside or from the threshold"
SKILLS = ("E2", "D4")

WEIGHTS = {"choice": 0.40, "spot": 0.30, "stand": 0.10, "floor": 0.20}
CRITERIA = {"D4": frozenset({"spot", "stand"})}
SMALL_M2 = 6.5
"""A room with more floor than this leaves no doubt."""
SHOWN_LEAST = 0.5
"""A room of which no spot of the right sort shows so much is no case of this kind."""
DRAWS = 4
UNSURE_SHARE = 0.5
"""A circle that misses the limit by less than this share of the placement error is no fair case."""


@declared
class Settings:
    """What a recipe of this kind may set."""

    vary: bool = True
    """Each seed makes a place of its own; false: the place as drawn."""
    spaces: tuple[Slug, ...] = ()
    """Ids to choose from; none: all small rooms."""


check_settings = unknown_spaces


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """A tiny room of a varied place.

    Raises Unfit when the choice hangs on less than half the placement error, or no spot of the right sort exists.
    """
    wanted = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    varied = source.varied()
    place = placed_as_stored(varied, kit, standard)
    level, space = _chosen(place, wanted.spaces, seed)
    radius, centre = free_circle(place, level, space)
    gap = radius - standard.threshold_circle_m
    if abs(gap) < UNSURE_SHARE * standard.placement_error_m:
        raise Unfit(f"the free circle of {space} ({radius:.3f} m) is too near the limit")
    right = _side(radius, standard)
    spots = (
        [snapped(Station(level=level, x=centre[0], y=centre[1]))]
        if right == "inside"
        else door_spots(place, level, space)
    )
    found = [one for one in spots if passes(place, one)]
    if not found:
        raise Unfit(f"no allowed spot of the right sort for {space}")
    firm = [one for one in found if stand(place, one).firm]
    best_share, best = max(
        ((share_seen(place, one, level, space), one) for one in firm or found), key=lambda pair: pair[0]
    )
    if best_share < SHOWN_LEAST:
        raise Unfit(f"only {100 * best_share:.0f} % of {space} is seen from the best spot")
    room = Names(varied).room(level, space)
    task = build(
        source,
        varied,
        asks={
            "from": ["inside", "door"],
            "stations": {"least": 1, "most": 1},
            "level": level,
            "space": space,
            "room": room,
        },
        key={
            "level": level,
            "space": space,
            "right": right,
            "radius_m": radius,
            "best": [best.level, best.x, best.y],
            "best_share": best_share,
        },
        difficulty_logit=difficulty_logit(gap, standard),
    )
    task = replace(task, public={**task.public, "task": recipe.task.replace("{room}", room)})
    if grade(task, best_answer(task, standard), standard).verdict != "holds":
        raise Unfit(f"the reference for {space} does not hold")
    blind = _blind(place, level, space, Random(f"blind/{seed}"))  # noqa: S311 (no secret)
    return with_guess_floor(task, lambda made, answer: grade(made, answer, standard), blind)


def _blind(place: Place, level: int, space: str, rng: Random) -> list[list[Json]]:
    """Always inside, anywhere in the room; always from the door, anywhere within a step of it."""
    room = next(room.polygon for room in place.storeys[level].rooms if room.space.id == space)
    left, low, right, high = room.bounds
    strategies: dict[str, list[Json]] = {"inside": [], "door": []}
    for _ in range(DRAWS):
        x, y = rng.uniform(left, right), rng.uniform(low, high)
        strategies["inside"].append(_answer("inside", snapped(Station(level=level, x=x, y=y))))
        hole = rng.choice(doors(place, level, space))
        x, y = hole.middle[0] + rng.uniform(-1.0, 1.0), hole.middle[1] + rng.uniform(-1.0, 1.0)
        strategies["door"].append(_answer("door", snapped(Station(level=level, x=x, y=y))))
    return list(strategies.values())


def _answer(from_: str, station: Station) -> dict[str, Json]:
    return {"from": from_, "stations": [station_json(station)]}


def _chosen(place: Place, spaces: Sequence[str], seed: int) -> tuple[int, str]:
    """A small indoor room with a door to the inside."""
    fit = [
        (number, room.space.id)
        for number, storey in enumerate(place.storeys)
        for room in storey.rooms
        if room.space.cover
        and room.space.use in DOOR_LINE_USES
        and room.polygon.area <= SMALL_M2
        and (not spaces or room.space.id in spaces)
        and doors(place, number, room.space.id)
    ]
    if not fit:
        raise Unfit("no small room with a door")
    return Random(f"threshold/{seed}").choice(fit)  # noqa: S311 (no secret)


def difficulty_logit(gap_m: float, standard: Standard) -> float:
    """Prior difficulty [logit]: harder the nearer the free circle is to the limit; prior SD 0.6."""
    return min(3.0, max(-3.0, 0.8 - 1.2 * min(2.0, abs(gap_m) / standard.placement_error_m)))


def best_answer(task: Task, standard: Standard) -> dict[str, Json]:
    """The key's best spot, with the side on which this standard's limit puts the key's free circle."""
    level, x, y = task.key["best"]
    return _answer(_side(task.key["radius_m"], standard), Station(level=level, x=x, y=y))


def _side(radius_m: float, standard: Standard) -> str:
    return "inside" if radius_m > standard.threshold_circle_m else "door"


@quiet
def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade the choice and the spot. Raises AnswerError."""
    place = place_of(task, standard)
    read = fields(answer, {"from", "stations"}, {"from", "stations"})
    said = choice(read["from"], "from", ("inside", "door"))
    placed = read_stations(read, place.plan, most=1, least=1)[0]
    key = task.key
    level, space, right = key["level"], key["space"], key["right"]
    best = Station(level=key["best"][0], x=key["best"][1], y=key["best"][2])
    room = Names(place.plan).room(level, space)
    found = stand(place, placed)
    within = (found.level, found.space) == (level, space)
    wrong_side = within != (right == "inside")
    nothing = f"{room} is shot {WHERE[right]}" if wrong_side else ""
    if not found.allowed:
        nothing = NO_TRIPOD
    share = 0.0 if nothing else share_seen(place, placed, level, space)
    target = min(standard.floor_share_min, standard.floor_share_of_best * key["best_share"])
    marks = [
        _choice_mark(place, key, room, said),
        _spot_mark(place, placed, found, key, room, best),
        _stand_mark(place, placed, found),
        view_mark(room, share, target, best, key["best_share"], WEIGHTS["floor"], nothing),
    ]
    spot_credit = marks[1].credit
    sound = said == right and found.allowed and not wrong_side and spot_credit > 0.0
    shapes = [station_point("reference", best, "R1")]
    if not nothing:
        shapes += seen_shapes(place, placed, level, space)
    return tally(
        task, marks, sound=sound, summary=_summary(key, room, said, best, marks), shapes=shapes, criteria=CRITERIA
    )


WHERE = {"inside": "from inside", "door": "from its door line"}


def _summary(key: Mapping[str, Json], room: str, said: str, best: Station, marks: Sequence[Mark]) -> str:
    if said != key["right"]:
        return f"{start(room)} is shot {WHERE[key['right']]}, for example at {spot(best.x, best.y)}."
    if all(mark.credit >= 1.0 for mark in marks):
        return f"{start(room)} is shot {WHERE[said]}, and this spot shows it."
    return f"{start(room)} is rightly shot {WHERE[said]}; a better spot is at {spot(best.x, best.y)}."


def _choice_mark(place: Place, key: Mapping[str, Json], room: str, said: str) -> Mark:
    radius, limit = key["radius_m"], place.standard.threshold_circle_m
    side = "enough to stand in" if radius >= limit else "too little to stand in"
    words = f"The largest free circle of {room} has a radius of {metres(radius)}, {side}: {metres(limit)} is the limit."
    circle = free_circle(place, key["level"], key["space"])
    return Mark(
        criterion="choice",
        title="Inside or from the door line",
        credit=float(said == key["right"]),
        weight=WEIGHTS["choice"],
        value=radius,
        limit=limit,
        unit="m",
        words=words,
        mend="" if said == key["right"] else f"Shoot {room} {WHERE[key['right']]}.",
        shapes=(point("reason", key["level"], circle[1], metres(radius)),),
    )


def _spot_mark(place: Place, placed: Station, found: Stand, key: Mapping[str, Json], room: str, best: Station) -> Mark:
    standard = place.standard
    level, space = key["level"], key["space"]
    shapes: tuple[Shape, ...] = (point("missing", best.level, (best.x, best.y)),)
    if placed.level == best.level:
        shapes += (line("missing", placed.level, (placed.x, placed.y), (best.x, best.y)),)
    inside = (found.level, found.space) == (level, space)
    if key["right"] == "inside":
        want = min(standard.clearance_soft_m, key["radius_m"])
        near = found.clearance_m if inside else 0.0
        credit = min(1.0, (near + standard.placement_error_m) / want) if inside else 0.0
        where = f"{metres(near)} clear of {found.clearance_what}" if inside else f"not in {room}"
        mend = "" if credit >= 1.0 else f"The middle of the free circle is at {spot(best.x, best.y)}."
        return Mark(
            "spot", "Spot inside", credit, WEIGHTS["spot"], near if inside else None, want, "m",
            f"Your station is {where}.", mend, (near_shape(placed, found),) if credit >= 1.0 else shapes,
        )  # fmt: skip
    at = offset(place, level, space, placed)
    low, high, error = standard.threshold_min_m, standard.threshold_max_m, standard.placement_error_m
    if at is None:
        words = f"Your station is on another level than {room}."
        return Mark(
            "spot",
            "Spot at the door",
            0.0,
            WEIGHTS["spot"],
            None,
            high,
            "m",
            words,
            f"Stand at {spot(best.x, best.y)}.",
            (),
        )
    wrong = max(low - error - at.out_m, at.out_m - high - error, 0.0) + max(at.aside_m - error, 0.0)
    credit = 0.0 if inside else max(0.0, 1.0 - wrong / (2.0 * high))
    aside = at.aside_m - error > max(low - error - at.out_m, at.out_m - high - error, 0.0)
    side = "outside" if at.out_m >= 0.0 else "inside"
    words = (
        f"Your station is {metres(abs(at.out_m))} {side} the door line of {room}, {metres(at.aside_m)} off its axis."
    )
    mend = ""
    if credit < 1.0:
        zone = zone_m(place, level, space) or (low, high)
        mend = f"Stand {span(zone)} outside it, on its axis, with the door fully open."
    return Mark(
        criterion="spot",
        title="Spot at the door",
        credit=credit,
        weight=WEIGHTS["spot"],
        value=at.aside_m if aside else at.out_m,
        limit=error if aside else low if at.out_m < low - error else high,
        unit="m",
        words=words,
        mend=mend,
        shapes=shapes if credit < 1.0 else (),
    )


def _stand_mark(place: Place, placed: Station, found: Stand) -> Mark:
    if not found.allowed:
        return refused_mark(place, placed, found, 1, WEIGHTS["stand"])
    mark = allowed_mark([placed], [found], WEIGHTS["stand"], 1.0)
    assert mark is not None
    return (
        replace(mark, mend=f"It is in someone's way out: stay with it. {NO_CODE_CHECK}")
        if _at_door(place, placed)
        else mark
    )


def _at_door(place: Place, placed: Station) -> bool:
    """Whether the leg circle reaches over a door line."""
    reach = place.kit.leg_radius_m
    return any(
        hole.walkable and abs(hole.middle[0] - placed.x) < reach and abs(hole.middle[1] - placed.y) < reach
        for hole in place.storeys[placed.level].holes
    )


__all__ = ["CRITERIA", "NAME", "SKILLS", "TITLE", "best_answer", "difficulty_logit", "grade", "make"]
