"""The firm's house standard: what its limits are, what a change would do, from which day.

Who leads a team may read it; an owner of the firm may change it. Grades that were given keep their standard.
"""

from __future__ import annotations

from collections.abc import Mapping
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
from scoring.standard import Standard
from trainer.drills.issue import OWN_READY
from trainer.drills.limits_preview import SPARE_MOST, preview_of
from trainer.library import shelf
from trainer.library.fields import body_of, holding_from, rows_of
from trainer.library.own import checked_standard, enter_standard, standard_of_firm, standards_of
from trainer.people.access import firms_led_by, firms_owned_by
from trainer.people.one_firm import one_firm
from trainer.renders.work import ask_for


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge between two bands of a measured quantity."""

    path: str
    label: str
    value: float


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


def _plain(standard: Standard) -> dict[str, Any]:
    body = asdict(standard)
    body["frames"] = {name: [dict(band) for band in bands] for name, bands in body["frames"].items()}
    return body


urlpatterns = [path("house-standard/", limits, name="limits")]
