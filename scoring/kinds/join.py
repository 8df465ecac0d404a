"""Join: which of the given stations form islands, and the fewest more that make one set of them.

    criterion   weight   what earns it
    islands      0.40    each island named: its pairs put together, times its pairs with all others kept apart
    link         0.35    islands joined, of those that had to be and of added stations that no given one sees
    stand        0.10    added stations that stand where a tripod may
    count        0.15    no more added than the fewest of the listed stands, once all is joined

The given stations part clearly: every link that joins two of them holds with the placement error to spare, and no
pair of different islands is within that error of a link.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scoring.drill import Grade, Json, KindName, Recipe, Task, Unfit
from scoring.floor.findings import Repair
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Plan, Station
from scoring.floor.repair import join_islands
from scoring.kinds import rooms
from scoring.kinds.answers import STATIONS_MAX, fields, groups, read_stations
from scoring.kinds.archipelago import Islands, blind_answers, parted
from scoring.kinds.case import (
    Source,
    build,
    given_stations,
    place_of,
    placed_as_stored,
    with_guess_floor,
)
from scoring.kinds.drawing import island_lines, reference_shapes
from scoring.kinds.footholds import stand_marks
from scoring.kinds.island_marks import Found, added_mark, island_mark, join_mark, measure
from scoring.kinds.link_marks import gap_marks, link_shapes, strength_marks
from scoring.kinds.references import links_between
from scoring.kinds.settings import declared, settings_of
from scoring.kinds.tally import tally
from scoring.kinds.words import Names, counted, stations
from scoring.rig.kit import Kit
from scoring.standard import Standard

NAME: KindName = "join"
TITLE = "Join the islands"
SKILLS = ("D2", "D3")

WEIGHTS = {"islands": 0.40, "link": 0.35, "stand": 0.10, "count": 0.15}
CRITERIA = {"D3": frozenset({"link", "stand", "count"})}
MOST_ADDED = 3
"""A repair of more stations than this is a placement, not a repair."""
TURNS = 5
"""Sets of islands drawn for a seed until one has such a repair."""


@declared
class Settings:
    """What a recipe of this kind may set."""

    vary: bool = True
    """Each seed makes a place of its own; false: the place as drawn."""


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """Stations of a varied place that form islands, with the proven fewest that join them in the key.

    Raises Unfit when the seed makes no clear islands or no proven repair of them.
    """
    settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    varied = source.varied()
    place = placed_as_stored(varied, kit, standard)
    case, repair = _repaired(place, seed)
    named = [[index + 1 for index in island] for island in case.islands]
    reference = {"stations": [list(one) for one in repair.stations], "links": _links(place, repair.stations)}
    task = build(
        source,
        varied,
        asks={"islands": len(case.stations), "stations": {"least": 0, "most": STATIONS_MAX}},
        key={"islands": named, "reference": reference, "fewest": len(repair.stations)},
        difficulty_logit=difficulty_logit(case, len(repair.stations), len(varied.flights)),
        given=case.stations,
    )
    own = grade(task, best_answer(task, standard), standard)
    if own.verdict != "holds":
        raise Unfit(f"seed {seed}: the repair does not hold: {own.summary}")
    blind = blind_answers(len(case.stations), rooms.thrown(place, len(repair.stations), seed), seed)
    return with_guess_floor(task, lambda made, answer: grade(made, answer, standard), blind)


def _repaired(place: Place, seed: int) -> tuple[Islands, Repair]:
    """Islands with the proven fewest stations that join them; few enough of these."""
    for turn in range(TURNS):
        case = parted(place, seed, turn)
        repair = join_islands(place, case.stations, case.islands, limit_s=6.0)
        if repair.stations and repair.proven and len(repair.stations) <= MOST_ADDED:
            return case, repair
    raise Unfit(f"seed {seed}: no proven repair of at most {MOST_ADDED} stations")


def _links(place: Place, found: Sequence[tuple[int, float, float]]) -> list[Json]:
    return links_between(place, [Station(level=level, x=x, y=y) for level, x, y in found])


def difficulty_logit(case: Islands, added: int, flights: int) -> float:
    """Prior difficulty [logit] from features of the case; prior SD 0.6.

    -0.8, 0.15 for each given station beyond four, 0.35 for each island beyond two, 0.4 for each station of the
    repair beyond one, 0.25 for each flight; no more than 3.
    """
    logit = -0.8 + 0.15 * (len(case.stations) - 4) + 0.35 * (len(case.islands) - 2) + 0.4 * (added - 1)
    return min(3.0, max(-3.0, logit + 0.25 * flights))


def best_answer(task: Task, standard: Standard) -> dict[str, Json]:
    """The answer that the key holds: its islands, joined by its fewest stations."""
    return {"islands": task.key["islands"], "stations": rooms.stations_json(task.key["reference"]["stations"])}


@quiet
def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade the islands named and the stations added. Raises AnswerError."""
    place = place_of(task, standard)
    given = given_stations(task)
    read = fields(answer, {"islands", "stations"}, {"islands"})
    said = groups(read["islands"], "islands", len(given))
    found = measure(place, given, read_stations(read, place.plan))
    islands: list[list[int]] = task.key["islands"]
    names = Names(place.plan)
    marks = [
        *(
            island_mark(place, names, given, island, said, WEIGHTS["islands"] / len(islands), number)
            for number, island in enumerate(islands, 1)
        ),
        join_mark(found, task.key, WEIGHTS["link"]),
        *stand_marks(place, found.added, found.stands, WEIGHTS["stand"], task.key["fewest"], len(given) + 1),
        added_mark(found, task.key, WEIGHTS["count"]),
        *gap_marks(found.whole, found.held),
        *strength_marks(found.whole, found.held),
    ]
    wrong = [number for number, mark in enumerate(marks[: len(islands)], 1) if mark.credit < 1.0]
    whole = [[number - 1 for number in island] for island in islands]
    return tally(
        task,
        marks,
        sound=not wrong and found.left == 1 and not found.refused,
        summary=_summary(found, wrong, islands, task.key["fewest"]),
        shapes=[
            *island_lines(whole, given),
            *link_shapes(found.whole, found.held),
            *reference_shapes(task.key["reference"]),
        ],
        criteria=CRITERIA,
    )


def _summary(found: Found, wrong: Sequence[int], islands: Sequence[Sequence[int]], fewest: int) -> str:
    named = f"All {len(islands)} islands are named right"
    if wrong:
        named = f"{len(islands) - len(wrong)} of {len(islands)} islands are named right"
    count = counted(len(found.added), "added station")
    joined = f"{count} join them; {fewest} would do" if len(found.added) > fewest else f"{count} join them"
    if len(found.added) == 1:
        joined = "1 added station joins them"
    if not found.added:
        joined = "no station is added yet"
    elif found.left > 1:
        joined = f"with {count} {found.left} islands are left"
    refused = f"; {stations(found.refused)} may not stand there" if found.refused else ""
    return f"{named}; {joined}{refused}."


__all__ = ["CRITERIA", "NAME", "SKILLS", "TITLE", "best_answer", "difficulty_logit", "grade", "make"]
