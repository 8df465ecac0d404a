"""Change: two spins, before and after one change. What did the change prove?

    criterion  weight  what earns it
    proved     0.60    whether the change cured it, was for something else, or left a second fault
    cause      0.40    the cause of the first spin; half of it for a cause of the same family

One change at a time is how a cause is proven: when the right thing is changed, the fault goes; when it stays, it was
something else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from random import Random

from scoring.border import Problem
from scoring.drill import Grade, Json, KindName, Mark, Recipe, Task, Unfit
from scoring.floor.place import Place
from scoring.floor.plan import Plan
from scoring.kinds.answers import choice, fields
from scoring.kinds.case import Source, placed_as_stored
from scoring.kinds.causes import CAUSES, LOOKS, NOTHING, LookName, family
from scoring.kinds.frame_case import Seen, look, look_again
from scoring.kinds.frame_grade import cause_mark, fix_mark, in_frame, unlike_marks
from scoring.kinds.frame_key import Known, SeamFound, known_of, number_mark, number_marks
from scoring.kinds.frame_signs import away_words, sign_marks
from scoring.kinds.frame_task import build_frames, with_floor
from scoring.kinds.frame_words import Facts, azimuth, found, number, small
from scoring.kinds.settings import declared, settings_of, unknown_spaces
from scoring.kinds.tally import tally
from scoring.kinds.words import start
from scoring.rig.kit import Kit
from scoring.standard import Slug, Standard

NAME: KindName = "change"
TITLE = "What a change proved"
SKILLS = ("V3", "V4")

WEIGHTS = {"proved": 0.60, "cause": 0.40}
SAME_SEAM_DEG = 1.0
"""Seams of two spins no farther apart than this are the same."""
CRITERIA = {"V4": frozenset({"proved"})}

CHANGES: dict[str, str] = {
    "F1": "the phone was slid along its clamp, out and back, until near and far edges stayed lined up",
    "F2": "the phone was slid sideways until its lens stood over the axis",
    "F3": "the phone was clamped again, square",
    "F4": "the tripod was levelled",
    "F5": "the feet were freed and hands kept off",
    "F6": "all feet were put down and every lock shut",
    "F7": "the joint under the head was tightened",
    "F9": "the lens was taken off and seated again",
    "F10": "the lens was blown off and wiped",
    "F11": "the kit stood open for ten minutes",
    "F13": "focus was locked and the head left to settle",
    "F15": "exposure and colour were locked",
}
"""The one thing that was changed, for whoever suspects that cause."""

PROVED: dict[str, str] = {
    "cured": "That was it: the fault is gone",
    "other": "It was something else: the fault is there as before",
    "second": "That was it, and a second fault is left",
}


@declared
class Settings:
    """What a recipe of this kind may set."""

    look: LookName = "doubled"
    """Which causes that look alike are the choices."""
    spaces: tuple[Slug, ...] = ()
    """Rooms to shoot in, by id; all that are large enough when none is named."""
    vary: bool = False
    """Whether the place itself is varied by the seed; light is then solved anew for each case."""


def check_settings(recipe: Recipe, plan: Plan) -> list[Problem]:
    """What a recipe names of the plan that is not there."""
    return unknown_spaces(recipe, plan)


def make(recipe: Recipe, plan: Plan, kit: Kit, standard: Standard, seed: int) -> Task:
    """Two spins round one change. Raises Unfit when one of them is not clear."""
    asked_for = settings_of(recipe, Settings)
    options = [code for code in LOOKS[asked_for.look] if code in CHANGES]
    source = Source(recipe, plan, kit, standard, seed)
    place = placed_as_stored(source.varied() if asked_for.vary else plan, kit, standard)
    rng = Random(f"change/{seed}")  # noqa: S311 (no secret)
    proved = rng.choice(possible(options))
    code = rng.choice(options)
    before, after, changed = _spins(place, rng, proved, code, options, asked_for.spaces)
    words = f"{recipe.task} Between the two spins {CHANGES[changed]}."
    task = build_frames(
        source,
        {"before": before, "after": after},
        asks={
            "choices": [
                {
                    "name": "proved",
                    "legend": "What did the change prove?",
                    "options": [list(o) for o in PROVED.items()],
                },
                {
                    "name": "cause",
                    "legend": "What was wrong in the first spin that the change was about, or should have been about?",
                    "options": [[one, CAUSES[one].title] for one in options],
                },
            ]
        },
        shown=[("before", "First spin"), ("after", "Second spin, after the change")],
        key={"proved": proved, "changed": changed},
        words=words,
    )
    return with_floor(task, *blind_credit(options))


def possible(options: Sequence[str]) -> list[str]:
    """What a change can have proved among these causes: a second fault is one of another family."""
    return [one for one in PROVED if one != "second" or len({family(code) for code in options}) > 1]


def blind_credit(options: Sequence[str]) -> tuple[float, dict[str, float]]:
    """Expected credit of whoever does not look: of the whole, and of skills that rest on a part.

    The task says what was changed. That is the cause unless the change was for something else; then it is worth half
    where it is of the cause's family.
    """
    proved = 1.0 / len(possible(options))
    others = [[family(one) == family(code) for one in options if one != code] for code in options]
    beside = sum(0.5 * sum(same) / len(same) for same in others) / len(others)
    cause = 1.0 - proved + proved * beside
    return WEIGHTS["proved"] * proved + WEIGHTS["cause"] * cause, {"V4": proved}


def _spins(
    place: Place, rng: Random, proved: str, code: str, options: list[str], spaces: tuple[str, ...]
) -> tuple[Seen, Seen, str]:
    """The spins before and after, and the cause whose fix was tried."""
    if proved == "second":
        others = [one for one in options if family(one) != family(code)]
        if not others:
            raise Unfit(f"nothing goes with {code}")
        left = look(place, rng, rng.choice(others), spaces=spaces)
        return look_again(left, place, rng, code), left, code
    before = look(place, rng, code, spaces=spaces)
    if proved == "cured":
        return before, look_again(before, place, rng, NOTHING), code
    changed = rng.choice([one for one in options if one != code])
    return before, look_again(before, place, rng, code), changed


def grade(task: Task, answer: Mapping[str, Json], standard: Standard) -> Grade:
    """Grade what was proved and what was wrong. Raises AnswerError."""
    read = fields(answer, {"proved", "cause"}, {"proved", "cause"})
    options = [value for value, _ in task.public["asks"]["choices"][1]["options"]]
    said = choice(read["proved"], "proved", tuple(PROVED))
    cause = choice(read["cause"], "cause", options)
    before, after = known_of(task), known_of(task, "after")
    facts, left = before.facts(standard, "before"), after.facts(standard, "after")
    named = cause_mark(before, facts, cause, WEIGHTS["cause"])
    marks = [
        _proved_mark(task, said, facts, left, after),
        named,
        *_seams_marks(before, after, facts),
        *_signs(task, before, after, standard),
        fix_mark(before, facts),
        *([_fix_left(after, left)] if task.key["proved"] == "second" else []),
        *_unlike(before, facts, [task.key["changed"], *options], cause),
        *_numbers(before, after, facts, left, standard),
    ]
    return tally(
        task, marks, sound=said == task.key["proved"], summary=found(before.choice, facts), shapes=(),
        criteria=CRITERIA, spots=(*before.spots, *after.spots),
    )  # fmt: skip


def _unlike(before: Known, facts: Facts, options: Sequence[str], said: str) -> list[Mark]:
    """Why it is not what the change was for, or else the nearest look-alike; what was said has its answer already."""
    others = [code for code in options if code != said]
    return [*unlike_marks(before, facts, others[:1]), *unlike_marks(before, facts, others)][:1]


def _fix_left(after: Known, left: Facts) -> Mark:
    """What to do about the fault that the change left."""
    return replace(fix_mark(after, left), criterion="fix-second", title="Then, for what is left")


def _then(after: Known, facts: Facts) -> str:
    """What decided in the first spin, as it was measured in the second."""
    value = getattr(after.numbers, facts.worst.quantity)
    return "nothing of it" if value is None else number(facts.worst.quantity, value)


def _seams_marks(before: Known, after: Known, facts: Facts) -> Iterator[Mark]:
    """How far every seam was off before the change, and after it, worst first; nothing where older keys have none."""
    rows = []
    for first in sorted(before.seams, key=lambda seam: -(seam.doubling_deg or 0.0)):
        then = min(after.seams, key=lambda one: _turn_deg(one.azimuth_deg, first.azimuth_deg), default=None)
        if then is not None and _turn_deg(then.azimuth_deg, first.azimuth_deg) <= SAME_SEAM_DEG:
            rows.append(f"{azimuth(first.azimuth_deg)}, {_off(first)} before and {_off(then)} after")
    lead = f"How far the two sides of each seam of {facts.room}, from {facts.spot}, are off"
    words = f"{lead}: {'; '.join(rows)}."
    if rows:
        yield Mark("seams", "Before and after, seam by seam", 1.0, 0.0, None, None, "", words, "")


def _off(seam: SeamFound) -> str:
    if seam.doubling_deg is None:
        return "no edge that could tell"
    away = "" if seam.away_m is None else f" on an edge {away_words(seam.away_m)} away"
    return f"{seam.doubling_deg:.2f}°{away}"


def _turn_deg(first_deg: float, second_deg: float) -> float:
    return abs((first_deg - second_deg + 180.0) % 360.0 - 180.0)


def _signs(task: Task, before: Known, after: Known, standard: Standard) -> list[Mark]:
    """What tells in the spin that has one fault alone: the first, or of two faults the one that is left."""
    name, of, which = ("after", after, "second") if task.key["proved"] == "second" else ("before", before, "first")
    marks = sign_marks(of, of.facts(standard, name), standard)
    return [replace(mark, title=f"{mark.title}, {which} spin") for mark in marks]


def _numbers(before: Known, after: Known, facts: Facts, left: Facts, standard: Standard) -> list[Mark]:
    """What decided in the first spin, the same in the second, and what decides there if it is something else."""
    decided = facts.worst.quantity
    first = number_marks(before.severity(standard), facts, before.spots)[:1]
    ratings = [one for one in after.severity(standard).ratings if one.quantity == decided]
    there = after.spots if left.worst.quantity == decided else ()
    same = [number_mark(one, left, there) for one in ratings]
    other = [] if left.worst.quantity == decided or left.worst.verdict == "keep" else [left.worst]
    more = [number_mark(one, left, after.spots) for one in other]
    titled = [(mark, "First spin") for mark in first] + [(mark, "Second spin") for mark in (*same, *more)]
    return [replace(mark, title=f"{spin}: {small(mark.title)}") for mark, spin in titled]


def _proved_mark(task: Task, said: str, facts: Facts, left: Facts, after: Known) -> Mark:
    proved, changed = task.key["proved"], small(CAUSES[task.key["changed"]].title)
    then, still = _then(after, facts), small(CAUSES[after.choice].title)
    words = {
        "cured": f"{start(facts.told)} before, {then} after, {facts.within}{facts.here}: so it was “{changed}”.",
        "other": f"{start(facts.told)} before, {then} after, {facts.within}{facts.here}: so it was not “{changed}”.",
        "second": f"“{start(changed)}” was mended; what is left is “{still}”, with {left.told}{left.at}.",
    }[proved]
    mend = "" if said == proved else f"Compare the two spins{facts.there}: {facts.value} before and {then} after."
    return Mark(
        criterion="proved",
        title="What the change proved",
        credit=float(said == proved),
        weight=WEIGHTS["proved"],
        value=None,
        limit=None,
        unit="",
        words=words,
        mend=mend,
        spots=in_frame(after.spots, "after"),
    )


__all__ = ["CHANGES", "NAME", "PROVED", "SKILLS", "TITLE", "grade", "make"]
