"""Pages of the firm's own kits: what there is, entering one, and finding the pupil's place by two edges."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from scoring.border import FileProblems, Problem
from scoring.rig.kit import Kit
from scoring.rig.two_edges import TwoEdgesError, pupil
from trainer.library import shelf
from trainer.library.fields import body_of, rows_of
from trainer.library.models import Edition
from trainer.library.own import enter_kit, kit_in_use, kits_for
from trainer.people.access import firms_decided_by
from trainer.people.models import Firm
from trainer.people.one_firm import OneFirm, one_firm

READING_DEG = 0.1
"""Standard error of one reading on the phone's screen; common practice, no source."""
EDGES = (
    ("near_m", "From the axis to the near edge", "m", "0.60"),
    ("far_m", "From the axis to the far edge", "m", "4.00"),
    ("turn_deg", "Turned to each side by", "°", "40"),
    ("plus_deg", "Turned clockwise, the near edge stands to the right of the far one by", "°", ""),
    ("minus_deg", "Turned the other way, it stands to the right by", "°", ""),
)


@login_required
@require_safe
def kits(request: HttpRequest) -> HttpResponse:
    """Every kit that the visitor may work with, and which of them they do."""
    own = {one.name for one in Edition.objects.filter(what=shelf.What.KIT, firm__in=firms_decided_by(request.user))}
    rows = [{"kit": kit, "own": kit.name in own, "pupil": pupil_words(kit)} for kit in kits_for(request.user)]
    context = {
        "page": "settings", "rows": rows, "units": request.user.units,  # type: ignore[union-attr]
        "mine": kit_in_use(request.user),  # type: ignore[arg-type]
        "may_enter": firms_decided_by(request.user).exists(),
    }  # fmt: skip
    return render(request, "library/kits.html", context)


def pupil_words(kit: Kit) -> str:
    """Where a kit's entrance pupil sits before it is set: how far ahead or behind, and to which side of the axis."""
    forward, side = kit.pupil_forward_mm, kit.pupil_side_mm
    parts = [f"{abs(forward):.1f}\u00a0mm {'ahead' if forward > 0 else 'behind'}"] if forward else []
    parts += [f"{abs(side):.1f}\u00a0mm to the {'right' if side > 0 else 'left'}"] if side else []
    return " and ".join(parts) or "over the axis"


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def kit_form(request: HttpRequest, kit: str = "") -> HttpResponse:
    """Enter a kit of the firm, or a new edition of one. It begins as a copy of the shelf's first kit."""
    firms, edition = firms_decided_by(request.user), None
    if kit:
        edition = _of_firms(firms, kit)
        which = OneFirm(edition.firm, True, ())  # type: ignore[arg-type]
    else:
        which = one_firm(request, firms, firms)
    start: dict[str, Any] = edition.body if edition else _plain()
    body, problems = start, tuple[Problem, ...]()
    if request.method == "POST":
        body = body_of(Kit, request.POST.dict(), start)
        try:
            made = enter_kit(which.firm, body, by=request.user, now=timezone.now(), name=kit)  # type: ignore[arg-type]
        except FileProblems as wrong:
            problems = wrong.problems
        else:
            messages.success(request, f"Kept: {made.body['title']}. Give it to people on their own page.")
            return redirect("kits")
    context = {
        "page": "settings", "rows": rows_of(Kit, body, problems), "problems": problems, "kit": kit,
        "others": [one for one in problems if "." not in one.where and one.where not in body],
        "firm": which.firm, "other_firms": which.others,
    }  # fmt: skip
    return render(request, "library/kit_form.html", context, status=400 if problems else 200)


@login_required
@require_safe
def two_edges(request: HttpRequest) -> HttpResponse:
    """Where the pupil sits, from two edges; nothing is kept."""
    found, problem = None, ""
    given = {name: request.GET.get(name, start) for name, _, _, start in EDGES}
    if "plus_deg" in request.GET:
        try:
            near, far, turn, plus, minus = (float(given[name].replace(",", ".")) for name, *_ in EDGES)
            found = pupil(near, far, turn, plus, minus, read_sd_deg=READING_DEG)
        except TwoEdgesError as error:
            problem = str(error)
        except ValueError:
            problem = "Fill in all five figures as numbers."
    rows = [{"name": n, "words": words, "unit": unit, "value": given[n]} for n, words, unit, _ in EDGES]
    context = {"page": "settings", "rows": rows, "found": found, "problem": problem, "reading_deg": READING_DEG}
    return render(request, "library/two_edges.html", context, status=400 if problem else 200)


def _plain() -> dict[str, Any]:
    """A kit to begin with: the first of the shelf, with nothing said of it."""
    body = asdict(shelf.kit(shelf.names(shelf.What.KIT)[0]))
    return {**body, "title": "", "note": "", "camera_place": ""}


def _of_firms(firms: QuerySet[Firm], kit: str) -> Edition:
    found = Edition.objects.filter(what=shelf.What.KIT, firm__in=firms, name=kit, current=True)
    edition = found.select_related("firm").first()
    if edition is None:
        raise Http404("No firm that this visitor decides for has such a kit.")
    return edition


urlpatterns = [
    path("kits/", kits, name="kits"),
    path("kits/new/", kit_form, name="kit_new"),
    path("kits/two-edges/", two_edges, name="two_edges"),
    path("kits/<slug:kit>/", kit_form, name="kit_edit"),
]
