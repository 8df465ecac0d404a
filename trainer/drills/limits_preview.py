"""What other limits would do: answers that were given, and one stored case of every drill, judged by both.

Nothing is kept.

    answers of the firm  --grade twice-->  whose would have been graded differently
    places               --grade the reference twice-->  which fail, which could do with a station less
    frames               --judge the stored numbers twice-->  which deserve another verdict; nothing is rendered
    other cases on plans --grade the key's own best answer twice-->  where it would be another
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scoring.drill import AnswerError, Json, Task
from scoring.kinds import LOOKED_AT, kind
from scoring.kinds.frame_key import verdicts_of
from scoring.standard import Standard
from trainer.drills.ledger import judge
from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.people.access import lasting
from trainer.people.models import Firm, Role
from trainer.renders import stock
from trainer.renders.models import Variation

ANSWERS = 60
"""So many of the firm's newest answers are graded again for a preview."""
FULL = 0.999
SPARE_MOST = 4
"""Of references with more stations it is not tried whether one is to spare: that takes a grade for each station."""
DESERVES = {"keep": "keep", "either": "keep or redo, both right", "redo": "redo"}


@dataclass(frozen=True, slots=True)
class Turned:
    """A stored frame that would deserve another verdict."""

    title: str
    now: str
    then: str


@dataclass(frozen=True, slots=True)
class Answers:
    """The firm's newest answers by both standards."""

    count: int
    people: tuple[tuple[str, int, int], ...]
    """Name, answers that would be graded differently, answers looked at; those with any."""


@dataclass(frozen=True, slots=True)
class Cases:
    """One stored case of each recipe by both standards; titles are each named once, in their order."""

    references: int
    failing: tuple[str, ...]
    """Titles of places whose stored reference would no longer hold."""
    fewer: tuple[str, ...]
    """Titles of places whose stored reference could do with a station less, left where the others are."""
    unsearched: int
    """References with too many stations to try each."""
    frames: int
    turned: tuple[Turned, ...]
    others: int
    another: tuple[str, ...]
    """Titles of other cases on plans whose best answer would be another one."""
    not_compared: int
    """Recipes in stock whose case has nothing that could be judged again."""


@dataclass(frozen=True, slots=True)
class Preview:
    """What a change would do."""

    answers: Answers
    cases: Cases


def preview_of(firm: Firm, now: Standard, wanted: Standard) -> Preview:
    """Judge the firm's newest answers and the stored cases by both standards, and compare."""
    return Preview(_answers(firm, now, wanted), _cases(now, wanted))


def _answers(firm: Firm, now: Standard, wanted: Standard) -> Answers:
    people = lasting().filter(team__firm=firm, role=Role.OPERATOR).values("person")
    newest = (
        explained(Attempt.objects.filter(person__in=people, void__isnull=True))
        .select_related("answer", "person")
        .order_by("-answer__received_at")[:ANSWERS]
    )
    looked: dict[str, list[int]] = {}
    for attempt in newest:
        told = looked.setdefault(str(attempt.person), [0, 0])
        told[1] += 1
        told[0] += _verdict(attempt, now) != _verdict(attempt, wanted)
    rows = sorted((name, changed, of) for name, (changed, of) in looked.items() if changed)
    return Answers(sum(of for _, of in looked.values()), tuple(rows))


def _cases(now: Standard, wanted: Standard) -> Cases:
    failing, fewer, another = set(), set(), set()
    turned: list[Turned] = []
    references = unsearched = frames = others = left = 0
    for task in _newest():
        title = str(task.public["title"])
        if task.kind == "place" and task.key.get("reference", {}).get("stations"):
            references += 1
            if not _enough(task, wanted, _stations(task)) and _enough(task, now, _stations(task)):
                failing.add(title)
            elif len(_stations(task)) > SPARE_MOST:
                unsearched += 1
            elif _spare(task, wanted):
                fewer.add(title)
        elif task.kind in LOOKED_AT:
            before, after = verdicts_of(task, now), verdicts_of(task, wanted)
            frames += len(before)
            turned += [
                Turned(title, DESERVES[one], DESERVES[other])
                for one, other in zip(before, after, strict=True)
                if one != other
            ]
        elif hasattr(kind(task.kind), "best_answer"):
            others += 1
            if _another(task, now, wanted):
                another.add(title)
        else:
            left += 1
    return Cases(
        references=references, failing=tuple(sorted(failing)), fewer=tuple(sorted(fewer)), unsearched=unsearched,
        frames=frames, turned=tuple(sorted(turned, key=lambda one: one.title)), others=others,
        another=tuple(sorted(another)), not_compared=left,
    )  # fmt: skip


def _newest() -> Iterator[Task]:
    """The newest stored case of every recipe in stock."""
    for name in Variation.objects.values_list("recipe", flat=True).distinct().order_by("recipe"):
        yield stock.task_of(Variation.objects.filter(recipe=name).order_by("-pk")[0])


def _stations(task: Task) -> list[dict[str, Json]]:
    return [{"level": level, "x": x, "y": y} for level, x, y in task.key["reference"]["stations"]]


def _spare(task: Task, standard: Standard) -> bool:
    """Whether the reference is enough without one of its stations; fewer in other places may do as well."""
    every = _stations(task)
    return any(_enough(task, standard, every[:k] + every[k + 1 :]) for k in range(len(every)) if len(every) > 1)


def _enough(task: Task, standard: Standard, stations: list[dict[str, Json]]) -> bool:
    """Whether stations show all the floor, are linked and may stand there; how many, and how near to walls, aside."""
    try:
        marks = kind(task.kind).grade(task, {"stations": stations}, standard).marks
    except AnswerError:
        return False
    return all(mark.credit >= FULL for mark in marks if mark.criterion not in {"count", "clearance"})


def _another(task: Task, now: Standard, wanted: Standard) -> bool:
    """Whether the key's own best answer would earn less, or the islands would be joined with a station less."""
    module = kind(task.kind)
    best = getattr(module, "best_answer")  # noqa: B009 (not every kind has one)
    then = best(task, wanted)
    if module.grade(task, then, wanted).credit < module.grade(task, best(task, now), now).credit - (1.0 - FULL):
        return True
    spots = then["stations"] if task.kind == "join" else []
    less = [spots[:k] + spots[k + 1 :] for k in range(len(spots))]
    return any(module.grade(task, {**then, "stations": one}, wanted).verdict != "fails" for one in less)


def _verdict(attempt: Attempt, standard: Standard) -> str | None:
    try:
        return judge(attempt, attempt.answer.body, standard).verdict
    except (AnswerError, LookupError):
        return None


__all__ = ["ANSWERS", "SPARE_MOST", "Answers", "Cases", "Preview", "Turned", "preview_of"]
