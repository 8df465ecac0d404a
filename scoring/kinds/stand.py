"""Stand: which of these numbered stands are allowed and why not the others, or the best spot in one room.

Setting ``mode``: "which" (numbered stands) or "best" (one station).

    which: every stand weighs the same; the right verdict earns 0.6, the right reason against it the rest. What the case
           says of stairs (E1) and of staying safe (G1) is said by the stands that could hurt somebody alone.
    best:  criterion  weight  what earns it
           stand      0.40    a tripod may stand there
           floor      0.35    the room's floor seen, against the best spot of the list
           clearance  0.25    distance kept, against the standard or what the room has
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from random import Random
from typing import Annotated, Literal

from pydantic import Field

from scoring.drill import AnswerError, Grade, Json, KindName, Mark, Recipe, Task, Unfit
from scoring.floor.findings import Stand
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Plan, Station
from scoring.floor.stands import stand
from scoring.kinds import best_spot
from scoring.kinds.answers import choice, fields, numbers, read_stations, whole
from scoring.kinds.candidates import candidates
from scoring.kinds.case import (
    Source,
    build,
    given_stations,
    place_of,
    placed_as_stored,
    with_guess_floor,
)
from scoring.kinds.drawing import point, station_point
from scoring.kinds.footholds import FAULT_WORDS, HAZARDS, finite, near_shape, reason_words, refused_mark, worst
from scoring.kinds.rooms import stations_json
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.kinds.tally import tally
from scoring.kinds.words import NO_CODE_CHECK, Names, counted, in_or_on, metres, start, stations
from scoring.rig.kit import Kit
from scoring.standard import Slug, Standard

NAME: KindName = "stand"
TITLE = "Choose where to stand"
SKILLS = ("A1", "D4", "E1", "E5", "E6", "G1")

VERDICT_CREDIT = 0.6
"""Of one stand, for the right verdict; the rest is for the right reason."""
COUNT = 7
MUST = frozenset({"hazard"})
"""Stands on which somebody could get hurt: who allows one of them shows nothing of the skills below ..."""
CRITERIA = {"E1": MUST, "G1": MUST}
"""... and who refuses too many stands loses nothing there: to stop is always right."""


@declared
class Settings:
    """What a recipe of this kind may set."""

    vary: bool = True
    """Each seed makes a place of its own; false: the place as drawn."""
    mode: Literal["which", "best"] = "which"
    spaces: tuple[Slug, ...] = ()
    """Ids to choose from; none: all."""
    count: Annotated[int, Field(ge=2, le=12)] = COUNT
    """Stands shown."""


check_settings = unknown_spaces


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """A furnished place with numbered stands, or with a room to find the best spot in.

    Raises Unfit when the variation gives no clear case.
    """
    wanted = settings_of(recipe, Settings)
    source = Source(recipe, plan, kit, standard, seed)
    varied = source.varied()
    place = placed_as_stored(varied, kit, standard)
    if wanted.mode == "best":
        return best_spot.make(source, varied, place, wanted.spaces)
    return _make_which(source, varied, place, wanted)


def _make_which(source: Source, varied: Plan, place: Place, wanted: Settings) -> Task:
    rng = Random(f"stands/{source.seed}")  # noqa: S311 (no secret)
    chosen = candidates(place, wanted.spaces, wanted.count, rng)
    spots = [station for station, _ in chosen]
    found = [stand(place, station) for station in spots]
    hazards = [number for number, one in enumerate(found, 1) if not one.allowed and worst(one).fault in HAZARDS]
    if not hazards and CRITERIA.keys() & set(source.recipe.skills):
        raise Unfit("no stand of this case could hurt anybody")
    task = build(
        source,
        varied,
        asks={"mode": "which", "stands": len(spots), "reasons": dict(FAULT_WORDS)},
        key={
            "mode": "which",
            "allowed": [index for index, one in enumerate(found, 1) if one.allowed],
            "faults": {str(index): one.reasons[0].fault for index, one in enumerate(found, 1) if not one.allowed},
            "hazards": hazards,
        },
        difficulty_logit=which_difficulty_logit(found),
        given=spots,
    )
    everyone = list(range(1, len(spots) + 1))
    blind: list[list[Json]] = [[{"allowed": everyone, "why": {}}]]
    blind += [[{"allowed": [], "why": {str(number): fault for number in everyone}}] for fault in sorted(FAULT_WORDS)]
    return with_guess_floor(task, lambda made, answer: grade(made, answer, place.standard), blind)


def which_difficulty_logit(found: list[Stand]) -> float:
    """Prior difficulty [logit] from features of the case; prior SD 0.6.

    -0.8, 0.15 for each stand beyond four, 0.25 for each different reason beyond one, and 0.3 for each refused stand
    that misses its limit by less than 0.25 m.
    """
    reasons = [one.reasons[0] for one in found if not one.allowed]
    close = sum(reason.limit_m - reason.value_m < 0.25 for reason in reasons)
    logit = -0.8 + 0.15 * (len(found) - 4) + 0.25 * (len({reason.fault for reason in reasons}) - 1) + 0.3 * close
    return min(3.0, max(-3.0, logit))


def best_answer(task: Task, standard: Standard) -> dict[str, Json]:
    """The answer that the key holds: the stands that are allowed, with why others are not; or the best spot."""
    if task.key["mode"] == "best":
        return {"stations": stations_json([task.key["best"]])}
    return {"allowed": task.key["allowed"], "why": task.key["faults"]}


@quiet
def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade the verdicts on numbered stands, or one spot. Raises AnswerError."""
    place = place_of(task, standard)
    if task.key["mode"] == "best":
        read = fields(answer, {"stations"}, {"stations"})
        return best_spot.grade(task, place, read_stations(read, place.plan, most=1, least=1)[0])
    spots = given_stations(task)
    allowed, why = read_verdicts(answer, len(spots))
    found = [stand(place, spot) for spot in spots]
    names = Names(place.plan)
    marks = [
        _mark(place, names, spot, one, number, number in allowed, why.get(number))
        for number, (spot, one) in enumerate(zip(spots, found, strict=True), 1)
    ]
    # A case of a time when they were not named is graded as it was then, all its stands alike.
    hazards = task.key.get("hazards", ())
    marks = [replace(one, criterion="hazard") if n in hazards else one for n, one in enumerate(marks, 1)]
    wrong = [number for number, one in enumerate(found, 1) if one.allowed != (number in allowed)]
    unexplained = [
        number
        for number, one in enumerate(found, 1)
        if number not in wrong and not one.allowed and not _explains(one, why.get(number))
    ]
    shapes = [
        station_point("stand-allowed" if one.allowed else "stand-refused", spot, str(number))
        for number, (spot, one) in enumerate(zip(spots, found, strict=True), 1)
    ]
    return tally(
        task, marks, sound=not wrong, summary=_summary(wrong, unexplained, len(spots)), shapes=shapes,
        criteria=CRITERIA if hazards else {}, must=MUST,
    )  # fmt: skip


def read_verdicts(answer: Mapping[str, Json], count: int) -> tuple[frozenset[int], dict[int, str]]:
    """The numbers of the stands that the answer allows, and the reason given against each of the others."""
    read = fields(answer, {"allowed", "why"}, {"allowed"})
    allowed = frozenset(numbers(read["allowed"], "allowed", count))
    reasons = read.get("why", {})
    if not isinstance(reasons, Mapping):
        raise AnswerError("why: must name a reason for each stand that is not allowed")
    why = {}
    for text, reason in reasons.items():
        where = f"why.{str(text)[:12]}"
        if not (isinstance(text, str) and text.isascii() and text.isdigit() and len(text) <= 3):
            raise AnswerError(f"{where}: must be the number of a stand")
        number = whole(int(text), where, 1, count)
        if number in allowed:
            raise AnswerError(f"{where}: stand {number} is allowed in this answer and needs no reason against it")
        why[number] = choice(reason, where, FAULT_WORDS)
    return allowed, why


def _explains(found: Stand, reason: str | None) -> bool:
    return reason is not None and any(one.fault == reason for one in found.reasons)


def _mark(
    place: Place, names: Names, spot: Station, found: Stand, number: int, said_allowed: bool, reason: str | None
) -> Mark:
    if found.allowed:
        return _allowed_mark(place, names, spot, found, number, said_allowed)
    fault = worst(found)
    who = f"stand {number}"
    base = refused_mark(place, spot, found, number, 1.0, search=said_allowed)
    credit, mend = 1.0, NO_CODE_CHECK if fault.fault in HAZARDS else ""
    if said_allowed:
        credit, mend = 0.0, base.mend
    elif not _explains(found, reason):
        credit = VERDICT_CREDIT
        given = f"not that {FAULT_WORDS[reason]}" if reason in FAULT_WORDS else "which the answer left open"
        mend = f"What stands against {who} is that {FAULT_WORDS[fault.fault]}, {given}."
    return replace(
        base,
        title=f"{start(who)}, not allowed",
        credit=credit,
        words=reason_words(fault, who),
        mend=mend,
        shapes=(
            station_point("stand-refused", spot, str(number)),
            point("reason", spot.level, fault.at),
            *base.shapes[2:],
        ),
    )


def _allowed_mark(place: Place, names: Names, spot: Station, found: Stand, number: int, said_allowed: bool) -> Mark:
    room = names.room(found.level, found.space)
    words = f"Stand {number}, {in_or_on(room)}, is allowed"
    if found.clearance_what:
        near = f"{found.clearance_what} is {metres(found.clearance_m)} away"
        words += f": {near} and the legs need {metres(place.kit.leg_radius_m)}"
    return Mark(
        criterion="stand",
        title=f"Stand {number}, allowed",
        credit=float(said_allowed),
        weight=1.0,
        value=finite(found.clearance_m),
        limit=place.kit.leg_radius_m,
        unit="m",
        words=f"{words}.",
        mend="" if said_allowed else f"Keep stand {number}: nothing stands against it.",
        shapes=(station_point("stand-allowed", spot, str(number)), near_shape(spot, found)),
        firm=found.firm,
    )


def _summary(wrong: list[int], unexplained: list[int], count: int) -> str:
    if wrong:
        return f"{count - len(wrong)} of {counted(count, 'stand')} are judged right; look again at {_stands(wrong)}."
    if unexplained:
        have = "has" if len(unexplained) == 1 else "have"
        return f"All {count} stands are judged right; {_stands(unexplained)} {have} another reason."
    return f"All {count} stands are judged right, each for its reason."


def _stands(found: list[int]) -> str:
    return stations(found).replace("station", "stand")


__all__ = [
    "CRITERIA", "NAME", "SKILLS", "TITLE", "best_answer", "grade", "make", "read_verdicts", "which_difficulty_logit",
]  # fmt: skip
