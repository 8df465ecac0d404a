"""Thin: a sound set with stations too many; which of them can go, together and without loss?

    criterion   weight   what earns it
    spare        0.60    stations taken away, of all that could go together with them, less those that matter
    keep         0.40    of those taken away, the ones that nothing is lost by

Every set that can go without loss, and to which none can be added, earns everything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import hypot
from random import Random
from typing import Annotated, Any

from pydantic import Field

from scoring.drill import Grade, Json, KindName, Mark, Recipe, Shape, Task, Unfit
from scoring.floor.cover import SpaceKey, floor_m2, floor_seen
from scoring.floor.fewest import sound_sets
from scoring.floor.findings import Survey
from scoring.floor.graph import islands
from scoring.floor.listing import listed_stands
from scoring.floor.overlay import join, quiet
from scoring.floor.place import Place
from scoring.floor.plan import Plan, Station
from scoring.floor.survey import survey
from scoring.kinds.answers import fields, numbers
from scoring.kinds.case import (
    Source,
    build,
    given_stations,
    place_of,
    placed_as_stored,
    with_guess_floor,
)
from scoring.kinds.count_mark import gain_mark
from scoring.kinds.drawing import area, link_line, seen_floor, station_point
from scoring.kinds.floor_marks import unseen_rooms
from scoring.kinds.footholds import Held
from scoring.kinds.link_marks import link_shapes
from scoring.kinds.losses import Loss, Losses
from scoring.kinds.settings import declared, settings_of
from scoring.kinds.tally import tally
from scoring.kinds.words import Names, counted, listed, start, stations
from scoring.rig.kit import Kit
from scoring.standard import Standard

NAME: KindName = "thin"
TITLE = "Take away what is not needed"
SKILLS = ("D1", "D2", "D3")

WEIGHTS = {"spare": 0.60, "keep": 0.40}
CRITERIA = {"D1": frozenset({"spare", "keep"}), "D2": frozenset({"keep"})}
LISTED = (160, 240)
"""Stands on the lists that a sound set is looked for on, one after the other."""
SETS = 4
"""Sound sets tried of each list."""
EXTRA = 3
"""Stations put in on top of a sound set."""
SPARE_LEAST, MATTER_LEAST = 2, 2
APART_M = 0.7
"""No two stations of a case stand nearer to each other."""
DRAWS = 4
"""Choices of additional stations tried with each sound set."""
LITTLE = 0.4
"""A stand put in on top adds no more floor of any room than this multiple of what a spare station may add."""
CLEAR = (0.8, 1.2)
"""A case in which a station's loss lies within these multiples of the limit is not clear."""


@declared
class Settings:
    """What a recipe of this kind may set."""

    vary: bool = True
    """Each seed makes a place of its own; false: the place as drawn."""
    extra: Annotated[int, Field(ge=1, le=8)] = EXTRA


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """A sound set with some stations too many, on a varied place.

    Raises Unfit when no clear set comes out.
    """
    wanted = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    varied = source.varied()
    place = placed_as_stored(varied, kit, standard)
    given, losses, best_share = _clear_case(place, wanted.extra, seed)
    spare = losses.together(range(len(given)))
    task = build(
        source,
        varied,
        asks={"remove": {"least": 0, "most": len(given)}, "stations": len(given)},
        key={"best_share": dict(best_share), "spare": [index + 1 for index in spare]},
        difficulty_logit=difficulty_logit(len(given), len(spare), len(varied.flights)),
        given=given,
    )
    if grade(task, best_answer(task, standard), standard).verdict != "holds":
        raise Unfit(f"seed {seed}: the spare stations of the key do not hold")
    everyone = list(range(1, len(given) + 1))
    rng = Random(f"blind/{seed}")  # noqa: S311 (no secret)
    blind: list[list[Json]] = [[{"remove": []}], [{"remove": everyone}]]
    blind.append([{"remove": [number]} for number in everyone])
    blind.append([{"remove": sorted(rng.sample(everyone, len(spare)))} for _ in range(8)])
    return with_guess_floor(task, lambda made, answer: _graded(made, answer, standard, shown=False), blind)


def _clear_case(place: Place, extra: int, seed: int) -> tuple[list[Station], Losses, dict[str, float]]:
    """Stations of which clearly some can go, with their losses and the best share of each floor."""
    rng = Random(f"thin/{seed}")  # noqa: S311 (no secret)
    any_set = False
    for count in LISTED:
        sets, best_share = sound_sets(place, target_stands=count, most=SETS)
        any_set |= bool(sets)
        for sound in sets:
            drawn = _drawn(place, sound, listed_stands(place, target_stands=count), extra, best_share, rng)
            if drawn is not None:
                return *drawn, best_share
    found = "no clear set of stations to thin" if any_set else "no set of stations that meets the standard was found"
    raise Unfit(f"seed {seed}: {found}")


def _drawn(
    place: Place,
    sound: Sequence[Station],
    stands: Sequence[Station],
    extra: int,
    best_share: Mapping[str, float],
    rng: Random,
) -> tuple[list[Station], Losses] | None:
    """A sound set and some listed stands, in no telling order, of which clearly some can go; None without luck."""
    adding_little = _adding_little(place, sound, stands)
    for _ in range(DRAWS):
        given = list(sound)
        for one in rng.sample(adding_little, len(adding_little)):
            if len(given) < len(sound) + extra and all(_apart(one, other) for other in given):
                given.append(one)
        rng.shuffle(given)
        found = survey(place, given, best_share)
        if len(found.islands) > 1 or unseen_rooms(found.covers) or not all(one.allowed for one in found.stands):
            continue
        losses = Losses(place, given, found)
        spare = losses.together(range(len(given)))
        if SPARE_LEAST <= len(spare) <= len(given) - MATTER_LEAST and _clear(place, losses, found):
            return given, losses
    return None


def _adding_little(place: Place, sound: Sequence[Station], stands: Sequence[Station]) -> list[Station]:
    """The stands that show hardly any floor that the sound set does not."""
    parts: dict[SpaceKey, list[Any]] = {}
    for station in sound:
        for key, seen in floor_seen(place, station).items():
            parts.setdefault(key, []).append(seen)
    shown = {key: join(seen) for key, seen in parts.items()}
    most = LITTLE * place.standard.spare_loss_share
    return [
        one
        for one in stands
        if all(
            key in shown and seen.difference(shown[key]).area <= most * floor_m2(place, *key)
            for key, seen in floor_seen(place, one).items()
        )
    ]


def _apart(one: Station, other: Station) -> bool:
    return one.level != other.level or hypot(one.x - other.x, one.y - other.y) >= APART_M


def _clear(place: Place, losses: Losses, found: Survey) -> bool:
    """Whether no station's part hangs on a hair: not on a link that counts only
    with the benefit of the placement error, not on a sliver of floor."""
    sure = [(link.a, link.b) for link in found.links if link.fault is None]
    for index in range(losses.count):
        loss = losses.without([index])
        rest = [one for one in range(losses.count) if one != index]
        known = {station: i for i, station in enumerate(rest)}
        firm = islands(len(rest), [(known[a], known[b]) for a, b in sure if a in known and b in known])
        if (len(firm) > 1) != (len(loss.islands) > 1):
            return False
        low, high = (factor * place.standard.spare_loss_share for factor in CLEAR)
        if len(loss.islands) < 2 and low < losses.most_lost(index) < high:
            return False
    return True


def difficulty_logit(given: int, spare: int, flights: int) -> float:
    """Prior difficulty [logit] from features of the case; prior SD 0.6.

    -0.8, 0.15 for each station beyond four, 0.2 for each that can go beyond one, 0.2 for each flight; up to 3.
    """
    return min(3.0, -0.8 + 0.15 * (given - 4) + 0.2 * (spare - 1) + 0.2 * flights)


def best_answer(task: Task, standard: Standard) -> dict[str, Json]:
    """The answer that the key holds: the stations that may go together."""
    return {"remove": task.key["spare"]}


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade a choice of stations to take away. Raises AnswerError."""
    return _graded(task, answer, standard, shown=True)


@quiet
def _graded(task: Task, answer: Mapping[str, Json], standard: Standard, *, shown: bool) -> Grade:
    """The grade; where nobody is shown it, without what is only told and drawn of the stations that are left."""
    place = place_of(task, standard)
    given = given_stations(task)
    taken = [number - 1 for number in numbers(fields(answer, {"remove"}, {"remove"})["remove"], "remove", len(given))]
    best_share = task.key["best_share"]
    losses = _losses(place, given, best_share)
    gone = losses.together(taken)
    matter = [index for index in sorted(taken) if index not in gone]
    more = losses.together([index for index in range(len(given)) if index not in taken], gone)
    kept = [index for index in range(len(given)) if index not in gone]
    names = Names(place.plan)
    share = WEIGHTS["keep"] / max(len(taken), 1)
    marks = [
        _spare_mark(given, gone, more, len(matter)),
        *(_matter_mark(losses, losses.without([*gone, index]), given, index, names, share) for index in matter),
        _keep_mark(given, gone, kept, share, taken),
    ]
    told: list[Mark | None] = []
    shapes: list[Shape] = []
    if shown:
        held = Held(tuple(given[index] for index in kept), tuple(index + 1 for index in kept))
        left = survey(place, held.stations, best_share)
        told, shapes = [gain_mark(left, held)], [*seen_floor(left.covers), *link_shapes(left, held)]
    return tally(
        task,
        [*marks, *(mark for mark in told if mark is not None)],
        sound=not matter and (bool(gone) or not more),
        summary=_summary(gone, matter, more),
        shapes=shapes,
        criteria=CRITERIA,
    )


def _losses(place: Place, given: Sequence[Station], best_share: Mapping[str, float]) -> Losses:
    """The losses of a case's stations; kept by the place, for every answer asks the same."""
    key = ("losses", tuple(given), tuple(sorted(best_share.items())))
    return place.keep(key, lambda: Losses(place, given, survey(place, given, best_share)))


def _spare_mark(given: Sequence[Station], gone: Sequence[int], more: Sequence[int], lost: int) -> Mark:
    possible = len(gone) + len(more)
    if not more:
        words = f"{counted(len(gone), 'station')} can go together, and all of them are taken away."
        mend = ""
    else:
        names = stations(_people(more))
        words = f"{len(gone)} of {possible} stations that can go together are taken away."
        mend = f"Take away {names}{' too' if gone else ''}: the rest shows the same floor and stays one set."
    return Mark(
        criterion="spare",
        title="Stations that can go",
        credit=max(0, len(gone) - lost) / possible if possible else 1.0,
        weight=WEIGHTS["spare"],
        value=float(len(gone)),
        limit=float(possible),
        unit="",
        words=words,
        mend=mend,
        shapes=tuple(station_point("spare", given[index], str(index + 1)) for index in more),
    )


def _matter_mark(losses: Losses, loss: Loss, given: Sequence[Station], index: int, names: Names, weight: float) -> Mark:
    """One station taken away that matters: the room it shows or the set it holds together."""
    number = index + 1
    shapes: list[Shape] = [station_point("missing", given[index], str(number))]
    value, limit, unit = None, None, ""
    if len(loss.islands) > 1:
        groups = "; ".join(listed([str(one) for one in _people(island)]) for island in loss.islands)
        words = f"Without station {number} the rest falls into {len(loss.islands)} islands: {groups}."
        value, limit = float(len(loss.islands)), 1.0
        for link in losses.found.links:
            if link.holds and index in (link.a, link.b):
                shapes += [replace(shape, role="missing") for shape in link_line(link, given)]
    elif loss.cover is not None:
        room = names.room(loss.cover.level, loss.cover.space)
        value, unit = 100.0 * loss.lost_share, "%"
        words = f"Without station {number} {value:.0f} % of the floor of {room} is lost."
        shapes += [area("seen-once", loss.cover.level, polygon) for polygon in loss.cover.once]
    else:
        words = f"Without station {number} nothing would be left to show."
    return Mark(
        "keep", f"Station {number} matters", 0.0, weight, value, limit, unit, words, f"Keep station {number}.",
        tuple(shapes),
    )  # fmt: skip


def _keep_mark(
    given: Sequence[Station], gone: Sequence[int], kept: Sequence[int], share: float, taken: Sequence[int]
) -> Mark:
    rest = start(stations(_people(kept)))
    if not taken:
        words = f"{rest} all stay, so nothing is lost and nothing is saved."
        return Mark("keep", "What is lost", 0.0, WEIGHTS["keep"], None, None, "", words, "")
    words = f"Nothing is lost by taking away {stations(_people(gone))}."
    if not gone:
        words = f"None of {stations(_people(taken))} can go without loss."
    return Mark(
        criterion="keep",
        title="What is lost",
        credit=1.0,
        weight=share * len(gone),
        value=float(len(gone)),
        limit=float(len(taken)),
        unit="",
        words=words,
        mend="",
        shapes=tuple(station_point("spare", given[index], str(index + 1)) for index in gone),
    )


def _people(indices: Sequence[int]) -> list[int]:
    """Station numbers as people see them."""
    return [index + 1 for index in indices]


def _summary(gone: Sequence[int], matter: Sequence[int], more: Sequence[int]) -> str:
    if matter:
        verb, them = ("matters", "it") if len(matter) == 1 else ("matter", "them")
        return f"{start(stations(_people(matter)))} {verb}: without {them} something is lost."
    if more and gone:
        return f"{start(stations(_people(gone)))} can go; so can {stations(_people(more))}."
    if more:
        return f"{counted(len(more), 'station')} could go without loss; none is taken away yet."
    return f"{start(stations(_people(gone)))} can go without loss, and no other could go with them."


__all__ = ["CRITERIA", "NAME", "SKILLS", "TITLE", "best_answer", "difficulty_logit", "grade", "make"]
