"""The firm's house standard: what its limits are, what a change would do to answers and references, from which day.

Who leads a team may read it; an owner of the firm may change it. Grades that were given keep their standard.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from scoring.border import FileProblems, Problem
from scoring.drill import AnswerError, Task
from scoring.kinds import kind
from scoring.standard import Standard
from trainer.drills.issue import OWN_READY
from trainer.drills.ledger import judge
from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.library import shelf
from trainer.library.fields import body_of, holding_from, rows_of
from trainer.library.own import checked_standard, enter_standard, standard_of_firm, standards_of
from trainer.people.access import firms_led_by, firms_owned_by, lasting
from trainer.people.models import Firm, Role
from trainer.people.one_firm import one_firm
from trainer.renders import stock
from trainer.renders.models import Variation
from trainer.renders.work import ask_for

ANSWERS = 60
"""So many of the firm's newest answers are graded again for a preview."""
FULL = 0.999
SPARE_MOST = 4
"""Of references with more stations it is not tried whether one is to spare: that takes a grade for each station."""


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge between two bands of a measured quantity."""

    path: str
    label: str
    value: float


@dataclass(frozen=True, slots=True)
class Preview:
    """What a change would do."""

    answers: int
    people: list[tuple[str, int, int]]
    """Name, answers that would be graded differently, answers looked at; those with any."""
    references: int
    failing: list[str]
    """Titles of places whose stored reference would no longer hold."""
    fewer: list[str]
    """Titles of places whose stored reference could do with a station less, left where the others are."""
    unsearched: int
    """References with too many stations to try each."""
    not_compared: int
    """Recipes in stock whose cases have no reference that can be graded again."""


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def limits(request: HttpRequest) -> HttpResponse:
    """The limits in force, those to come, and a form to change them with its preview."""
    which = one_firm(request, firms_led_by(request.user), firms_owned_by(request.user))
    firm, owner = which.firm, which.decides
    today = timezone.now().date()
    standard, _ = standard_of_firm(firm, today)
    body: dict[str, Any] = _plain(standard)
    problems: tuple[Problem, ...] = ()
    preview, day = None, request.POST.get("holds_from", "")
    if request.method == "POST":
        if not owner:
            raise Http404("Only an owner changes the standard.")
        body = with_edges(body_of(Standard, request.POST.dict(), body), request.POST.dict())
        try:
            wanted = checked_standard(body)
            if "keep" in request.POST:
                holds_from = holding_from(day)
                made = enter_standard(firm, body, holds_from=holds_from, by=request.user, now=timezone.now())  # type: ignore[arg-type]
                for recipe in shelf.recipes():
                    ask_for(recipe.name, OWN_READY, standard_address=made.address)
                messages.success(request, f"Kept: these limits hold from {holds_from:%d %B %Y}.")
                return redirect(f"{reverse('limits')}?firm={firm.pk}")
        except FileProblems as wrong:
            problems = wrong.problems
        except ValueError as wrong:
            problems = (Problem("holds_from", str(wrong)),)
        else:
            preview = preview_of(firm, standard, wanted)
    rows = rows_of(Standard, body, problems)
    context = {
        "page": "settings", "firm": firm, "other_firms": which.others, "owner": owner, "standard": standard,
        "rows": rows, "edges": edges_of(body),
        "problems": problems, "preview": preview, "day": day, "editions": standards_of(firm), "today": today,
        "spare_most": SPARE_MOST,
    }  # fmt: skip
    return render(request, "drills/limits.html", context, status=400 if problems else 200)


def edges_of(body: Mapping[str, Any]) -> list[Edge]:
    """Every edge between two bands, as a row of a form."""
    found = []
    for quantity, bands in body["frames"].items():
        *words, unit = quantity.split("_")
        for number, band in enumerate(bands[1:], 1):
            label = f"{' '.join(words).capitalize()}: {band['words']} from ({unit})"
            found.append(Edge(f"frames.{quantity}.{number}", label, band["at_least"]))
    return found


def with_edges(body: dict[str, Any], fields: Mapping[str, str]) -> dict[str, Any]:
    """The body with the edges as they were typed; a band ends where the next one begins."""
    for edge in edges_of(body):
        typed = fields.get(edge.path)
        if typed is None:
            continue
        _, quantity, number = edge.path.split(".")
        try:
            value: Any = float(typed.replace(",", "."))
        except ValueError:
            value = typed
        bands = body["frames"][quantity]
        bands[int(number)]["at_least"] = value
        bands[int(number) - 1]["below"] = value
    return body


def preview_of(firm: Firm, now: Standard, wanted: Standard) -> Preview:
    """Grade the firm's newest answers and the stored references by both standards, and compare. Nothing is kept."""
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
    rows = [(name, changed, of) for name, (changed, of) in looked.items() if changed]
    references = list(_references())
    failing, fewer, unsearched = [], [], 0
    for task in references:
        if not _enough(task, wanted, _stations(task)) and _enough(task, now, _stations(task)):
            failing.append(task.public["title"])
        elif len(_stations(task)) > SPARE_MOST:
            unsearched += 1
        elif _spare(task, wanted):
            fewer.append(task.public["title"])
    in_stock = Variation.objects.values("recipe").distinct().count()
    return Preview(
        answers=sum(of for _, of in looked.values()),
        people=sorted(rows),
        references=len(references),
        failing=sorted(set(failing)),
        fewer=sorted(set(fewer)),
        unsearched=unsearched,
        not_compared=in_stock - len(references),
    )


def _references() -> Iterable[Task]:
    """One stored case of every recipe that has a reference of stations."""
    for name in Variation.objects.filter(task__key__has_key="reference").values_list("recipe", flat=True).distinct():
        task = stock.task_of(Variation.objects.filter(recipe=name).order_by("-pk")[0])
        if task.kind == "place" and task.key["reference"].get("stations"):
            yield task


def _stations(task: Task) -> list[dict[str, float]]:
    return [{"level": level, "x": x, "y": y} for level, x, y in task.key["reference"]["stations"]]


def _spare(task: Task, standard: Standard) -> bool:
    """Whether the reference is enough without one of its stations; fewer in other places may do as well."""
    every = _stations(task)
    return any(_enough(task, standard, every[:k] + every[k + 1 :]) for k in range(len(every)) if len(every) > 1)


def _enough(task: Task, standard: Standard, stations: list[dict[str, float]]) -> bool:
    """Whether stations show all the floor, are linked and may stand there; how many, and how near to walls, aside."""
    try:
        marks = kind(task.kind).grade(task, {"stations": stations}, standard).marks
    except AnswerError:
        return False
    return all(mark.credit >= FULL for mark in marks if mark.criterion not in {"count", "clearance"})


def _verdict(attempt: Attempt, standard: Standard) -> str | None:
    try:
        return judge(attempt, attempt.answer.body, standard).verdict
    except (AnswerError, LookupError):
        return None


def _plain(standard: Standard) -> dict[str, Any]:
    body = asdict(standard)
    body["frames"] = {name: [dict(band) for band in bands] for name, bands in body["frames"].items()}
    return body


urlpatterns = [path("house-standard/", limits, name="limits")]
