"""Place: put stations on an empty plan so that all floor is shown, from one connected set of allowed stands.

    criterion   weight   what earns it
    floor        0.40    each room's share of floor seen, against its target
    link         0.25    joins made by stations that add something, of the joins that the fewest set needs
    stand        0.20    stations that stand where a tripod may
    count        0.10    few enough: up to the reference and what the standard tolerates on top costs nothing
    clearance    0.05    distance kept, where the room has it
    tiny         0.05    rooms too small to stand in taken from their door line (only where there are some)

Weights are brought to a sum of 1. A set that meets the standard earns everything, whichever set it is; the
reference is a comparison. Stands from which no spin is shot (on treads, in a wall, on a drive, at an edge) show
nothing and link nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scoring.drill import Grade, Json, KindName, Mark, Recipe, Task, Unfit
from scoring.floor.fewest import fewest
from scoring.floor.findings import Cover, Stand, Survey
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Plan, Station
from scoring.floor.stands import stand
from scoring.floor.survey import survey
from scoring.kinds import rooms
from scoring.kinds.answers import STATIONS_MAX, fields, read_stations
from scoring.kinds.case import Source, build, place_of, placed_as_stored, with_guess_floor
from scoring.kinds.count_mark import Tally, count_mark, gain_mark
from scoring.kinds.drawing import reference_shapes, seen_floor
from scoring.kinds.floor_marks import asked, corner_mark, floor_marks, incidence_mark, unseen_rooms
from scoring.kinds.footholds import Held, clearance_mark, stand_marks, usable
from scoring.kinds.link_marks import gap_marks, link_mark, link_shapes, strength_marks
from scoring.kinds.references import reference_json
from scoring.kinds.settings import declared, settings_of
from scoring.kinds.tally import tally
from scoring.kinds.words import Names, counted, listed, start
from scoring.rig.kit import Kit
from scoring.standard import Standard

NAME: KindName = "place"
TITLE = "Place the stations"
SKILLS = ("D1", "D2", "D3", "D4", "E1", "E2", "E4", "E6")

WEIGHTS = {"floor": 0.40, "link": 0.25, "stand": 0.20, "count": 0.10, "clearance": 0.05, "tiny": 0.05}
CRITERIA = {
    "D1": frozenset({"floor", "count"}),
    "D2": frozenset({"link"}),
    "D3": frozenset({"floor", "link"}),
    "D4": frozenset({"stand", "clearance"}),
    "E1": frozenset({"link", "stand"}),
    "E2": frozenset({"tiny", "floor"}),
}
LIMIT_S = 48.0
"""How long the proof of a reference may take; its gap is stored when it takes longer. Far more than nearly every proof
takes, so that a slow or busy machine proves the same."""
SHOWN_LEAST = 0.3
"""A room of which all allowed stands together show less is no room to be graded on."""
LISTED = 160
"""Stands on the list of a variation's reference: enough to choose from, few enough for a proof in seconds."""


@declared
class Settings:
    """What a recipe of this kind may set."""

    vary: bool = True
    """Each seed makes a place of its own; false: the place as drawn."""
    limit_s: Annotated[float, Field(gt=0.0, le=120.0)] = LIMIT_S


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """An empty plan to put stations on, with its proven reference in the key.

    Raises Unfit when no reference meets the standard.
    """
    wanted = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    varied = source.varied()
    place = placed_as_stored(varied, kit, standard)
    reference = fewest(place, limit_s=wanted.limit_s, target_stands=LISTED)
    if not reference.stations:
        raise Unfit(f"seed {seed}: no set of stations meets the standard ({reference.gap_note})")
    hidden = [space for space, share in reference.best_share.items() if share < SHOWN_LEAST]
    if hidden:
        raise Unfit(f"seed {seed}: no allowed stand shows {', '.join(hidden)}")
    key = {"reference": reference_json(place, reference), "circles": rooms.circles(place)}
    task = build(
        source,
        varied,
        asks={"stations": {"least": 0, "most": STATIONS_MAX}},
        key=key,
        difficulty_logit=difficulty_logit(place, reference.upper),
    )
    own = grade(task, {"stations": rooms.stations_json(reference.stations)}, standard)
    if own.verdict == "fails":
        raise Unfit(f"seed {seed}: the reference does not pass its own grade: {own.summary}")
    blind = _blind(place, reference.upper, seed)
    return with_guess_floor(task, lambda made, answer: grade(made, answer, standard), blind)


def _blind(place: Place, upper: int, seed: int) -> list[list[Json]]:
    """No station; one, as many as the reference has, or as many as there may be, thrown down; all on one heap."""
    few, flood = [rooms.thrown(place, count, seed) for count in (upper, 1)], rooms.thrown(place, STATIONS_MAX, seed)[:1]
    return [[{"stations": []}], *few, flood, [rooms.heaped(place, upper)]]


def difficulty_logit(place: Place, upper: int) -> float:
    """Prior difficulty [logit] from features of the case; prior SD 0.6.

    -1.2, and 0.18 for each station of the reference beyond two, 0.05 for each room beyond two, 0.30 for each flight,
    0.25 for each room too tiny to stand in, 0.10 for each inner corner of a room (up to six); no more than 3.
    """
    features = rooms.features(place)
    logit = -1.2 + 0.18 * (upper - 2) + 0.05 * (features.rooms - 2) + 0.30 * features.flights
    logit += 0.25 * features.tiny + 0.10 * min(features.inner_corners, 6)
    return min(3.0, max(-3.0, logit))


@dataclass(frozen=True, slots=True)
class Found:
    """What was measured about an answer."""

    placed: tuple[Station, ...]
    stands: tuple[Stand, ...]
    """Of all stations."""
    held: Held
    used: Survey
    """Of those from which a spin could be shot."""


def measure(place: Place, placed: tuple[Station, ...], best_share: Mapping[str, float]) -> Found:
    """Judge every stand of an answer, and survey the stations from which a spin could be shot."""
    stands = tuple(stand(place, station) for station in placed)
    held = usable(placed, stands)
    return Found(placed, stands, held, survey(place, held.stations, best_share))


@quiet
def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade a set of stations. Raises AnswerError."""
    place = place_of(task, standard)
    placed = read_stations(fields(answer, {"stations"}, {"stations"}), place.plan)
    reference = task.key["reference"]
    found = measure(place, placed, reference["best_share"])
    names = Names(place.plan)
    sound = is_sound(found)
    # the bound is proven for the listed stands: a sound set of fewer shows that fewer do
    least = min(reference["lower"], len(placed)) if sound else reference["lower"]
    marks = [
        *floor_marks(place, found.used.covers, names, WEIGHTS["floor"], reference),
        link_mark(place, found.used, found.held, WEIGHTS["link"], least),
        *stand_marks(place, placed, found.stands, WEIGHTS["stand"], least),
        _count(found, reference, standard, sound),
        clearance_mark(place, placed, found.stands, task.key["circles"], WEIGHTS["clearance"], least),
        *rooms.tiny_marks(place, placed, found.stands, found.used.covers, task.key["circles"], WEIGHTS["tiny"]),
        *gap_marks(found.used, found.held),
        *strength_marks(found.used, found.held),
    ]
    told = [
        gain_mark(found.used, found.held),
        corner_mark(found.used.covers, names),
        incidence_mark(found.used.walls, found.used.covers, names, standard.incidence_report_deg),
    ]
    shapes = [*seen_floor(found.used.covers), *link_shapes(found.used, found.held), *reference_shapes(reference)]
    return tally(
        task,
        [*marks, *(mark for mark in told if mark is not None)],
        sound=sound,
        summary=_summary(found, names, reference, sound),
        shapes=shapes,
        criteria=CRITERIA,
    )


def is_sound(found: Found) -> bool:
    """Whether everything that must hold does: floor shown, one set, stands allowed."""
    stands = all(one.allowed for one in found.stands)
    return bool(found.placed) and stands and len(found.used.islands) == 1 and not unseen_rooms(found.used.covers)


def _count(found: Found, reference: Json, standard: Standard, sound: bool) -> Mark:
    numbers = [found.held.numbers[index] for index in found.used.spare_together]
    spots = [found.held.stations[index] for index in found.used.spare_together]
    placed = Tally(len(found.placed), reference["upper"], reference["lower"], reference["anywhere"], sound)
    return count_mark(placed, numbers, spots, standard.spare_tolerated_share, WEIGHTS["count"])


def _summary(found: Found, names: Names, reference: Json, sound: bool) -> str:
    count = len(found.placed)
    upper = counted(reference["upper"], "station")
    if count == 0:
        return f"No station is placed yet; the reference shows everything from {upper}."
    if sound:
        return f"All floor is shown from one connected set of {counted(count, 'station')}; the reference uses {upper}."
    troubles = []
    short: Sequence[Cover] = unseen_rooms(found.used.covers)
    if len(short) == 1:
        troubles.append(f"{names.room(short[0].level, short[0].space)} is not seen enough")
    elif short:
        troubles.append(f"{len(short)} of {len(asked(found.used.covers))} rooms are not seen enough")
    if len(found.used.islands) > 1:
        troubles.append(f"the stations form {len(found.used.islands)} islands")
    refused = sum(not one.allowed for one in found.stands)
    if refused:
        troubles.append(f"{counted(refused, 'station')} {'stands' if refused == 1 else 'stand'} where no tripod may")
    return f"{start(listed(troubles))}."


__all__ = ["CRITERIA", "NAME", "SKILLS", "TITLE", "Found", "difficulty_logit", "grade", "is_sound", "make", "measure"]
