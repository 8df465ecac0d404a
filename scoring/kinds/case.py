"""Putting a task together and taking it apart: the same public part and key for every kind.

A task carries everything a grade needs (plan, kit, reference), as JSON rounded to a micrometre, so that stored and
loaded again it grades the same. The prepared place is kept for the last few tasks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from pydantic import TypeAdapter

from scoring import ENGINE_VERSION
from scoring.drill import Grade, Json, Recipe, Task, canonical_json, content_hash
from scoring.floor.invent import fingerprint, invent
from scoring.floor.place import Place, prepare
from scoring.floor.plan import Plan, Station
from scoring.rig.kit import Kit
from scoring.standard import Standard

DIGITS = 6
KEPT = 32
SHOWN_LIMITS = (
    "sight_range_m", "sight_range_outdoor_m", "floor_share_min", "floor_share_of_best", "outdoor_share_min",
    "link_strip_m", "link_max_m", "link_max_outdoor_m", "clearance_good_m", "clearance_soft_m", "threshold_circle_m",
    "threshold_min_m", "threshold_max_m", "edge_keep_off_m", "flight_keep_off_m", "headroom_min_m",
    "placement_error_m", "spare_loss_share",
)  # fmt: skip

DIFFICULTY_SD = 0.6
"""Prior standard deviation of a computed difficulty [logit], until people's answers say better."""

_PLAN = TypeAdapter(Plan)
_KIT = TypeAdapter(Kit)
_RECIPE = TypeAdapter(Recipe)


@dataclass(frozen=True, slots=True)
class Source:
    """What a task is made from."""

    recipe: Recipe
    plan: Plan
    kit: Kit
    standard: Standard
    seed: int

    def varied(self) -> Plan:
        """The variation of this seed; the plan as drawn when the recipe's setting "vary" is false."""
        return self.plan if self.recipe.settings.get("vary") is False else invent(self.plan, self.seed)


def build(
    source: Source,
    plan: Plan,
    *,
    asks: Mapping[str, Json],
    key: Mapping[str, Json],
    difficulty_logit: float,
    given: Sequence[Station] = (),
) -> Task:
    """The task of a varied plan, its guessing floor still 0 (see ``with_guess_floor``)."""
    recipe, kit, standard = source.recipe, source.kit, source.standard
    kit_json = _KIT.dump_python(kit, mode="json")
    given_json = [station_json(station) for station in given]
    public = {
        "plan": _PLAN.dump_python(plan, mode="json"),
        "kit": {name: kit_json[name] for name in ("name", "title", "lens_height_m", "leg_circle_m")},
        "title": recipe.title,
        "task": recipe.task,
        "limits": {name: getattr(standard, name) for name in SHOWN_LIMITS},
        "given": given_json,
        "asks": dict(asks),
    }
    whole = {"kit": kit_json, "skills": list(recipe.skills), "guess": {}, **key}
    looks_like = content_hash([recipe.kind, fingerprint(plan), _spread(given)])
    return task_made(source, public=public, key=whole, difficulty_logit=difficulty_logit, looks_like=looks_like)


def task_made(
    source: Source,
    *,
    public: Mapping[str, Json],
    key: Mapping[str, Json],
    difficulty_logit: float,
    looks_like: str,
) -> Task:
    """The task of a source, both parts rounded, its guessing floor still 0; ``looks_like`` is its fingerprint."""
    recipe = source.recipe
    made_from = [
        _RECIPE.dump_python(recipe, mode="json"),
        _PLAN.dump_python(source.plan, mode="json"),
        _KIT.dump_python(source.kit, mode="json"),
    ]
    return Task(
        kind=recipe.kind,
        recipe=recipe.name,
        recipe_hash=content_hash(made_from),
        standard=source.standard.version,
        seed=source.seed,
        engine=ENGINE_VERSION,
        public=rounded(public),
        key=rounded(key),
        difficulty_logit=round(difficulty_logit, 3),
        difficulty_sd=DIFFICULTY_SD,
        guess_floor=0.0,
        fingerprint=looks_like,
    )


def with_guess_floor(
    task: Task, grade: Callable[[Task, Mapping[str, Json]], Grade], blind: Sequence[Sequence[Json]]
) -> Task:
    """The task with the credit that the best blind strategy earns, in whole and for each skill.

    Each strategy is a list of answers that are equally likely under it.
    """
    best, skills = 0.0, dict.fromkeys(task.key["skills"], 0.0)
    for strategy in blind:
        grades = [grade(task, answer) for answer in strategy]
        best = max(best, sum(one.credit for one in grades) / len(grades))
        for skill in skills:
            credits = [evidence.credit for one in grades for evidence in one.evidence if evidence.skill == skill]
            skills[skill] = max(skills[skill], sum(credits) / len(credits))
    guess = {skill: round(value, DIGITS) for skill, value in skills.items()}
    return replace(task, guess_floor=round(best, DIGITS), key={**task.key, "guess": guess})


def _spread(given: Sequence[Station]) -> list[float]:
    """Distances between given stations, the same however the sheet is turned."""
    pairs = [(a, b) for i, a in enumerate(given) for b in given[:i]]
    return sorted(round(((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5 + 0.00137, 2) for a, b in pairs)


def place_of(task: Task, standard: Standard) -> Place:
    """The prepared place of a task; made once and kept while the task is among the last few."""
    return _place(canonical_json(task.public["plan"]), canonical_json(task.key["kit"]), standard)


@lru_cache(maxsize=KEPT)
def _place(plan_json: str, kit_json: str, standard: Standard) -> Place:
    return prepare(_PLAN.validate_json(plan_json), _KIT.validate_json(kit_json), standard)


def placed_as_stored(plan: Plan, kit: Kit, standard: Standard) -> Place:
    """The prepared place with the very numbers that a task will store."""
    plan_json = canonical_json(rounded(_PLAN.dump_python(plan, mode="json")))
    return _place(plan_json, canonical_json(rounded(_KIT.dump_python(kit, mode="json"))), standard)


def given_stations(task: Task) -> tuple[Station, ...]:
    """The stations that the task shows."""
    return tuple(Station(level=one["level"], x=one["x"], y=one["y"]) for one in task.public["given"])


def station_json(station: Station) -> dict[str, Json]:
    """A station as an answer has it."""
    return {"level": station.level, "x": round(station.x, DIGITS), "y": round(station.y, DIGITS)}


def snapped(station: Station) -> Station:
    """The station to the millimetre, as shown to people."""
    return Station(level=station.level, x=round(station.x, 3), y=round(station.y, 3))


def rounded(value: Json) -> Json:
    """A JSON value with every float rounded to a micrometre and every tuple a list."""
    if isinstance(value, float):
        return round(value, DIGITS) + 0.0
    if isinstance(value, Mapping):
        return {str(name): rounded(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [rounded(item) for item in value]
    return value


__all__ = [
    "Source", "build", "given_stations", "place_of", "placed_as_stored", "rounded", "snapped", "station_json",
    "task_made", "with_guess_floor",
]  # fmt: skip
