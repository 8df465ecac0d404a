"""Pages of this room: places, one place to try stations on, cautions, terms, and every part in every state."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from trainer.library import shelf
from trainer.library.drawing import draw_outline, draw_plan
from trainer.library.patterns import samples
from trainer.library.terms import GROUPS
from trainer.library.trial import trial_data

THUMB_PX = 420


def _units(request: HttpRequest) -> str:
    return str(getattr(request.user, "units", "m"))


@login_required
@require_safe
def places(request: HttpRequest) -> HttpResponse:
    """Every place on the shelf as a small sheet."""
    rows = []
    for number, name in enumerate(shelf.names(shelf.What.FLOOR)):
        plan = shelf.floor(name)
        rows.append({
            "plan": plan,
            "svg": draw_outline(plan, 0, size_px=THUMB_PX, name=f"p{number}"),
            "rooms": sum(len(level.spaces) for level in plan.levels),
        })  # fmt: skip
    return render(request, "library/places.html", {"page": "drills", "places": rows})


@login_required
@require_safe
def try_place(request: HttpRequest, slug: str) -> HttpResponse:
    """One place to put stations on, with live sight and links; nothing is kept."""
    kits = shelf.kits()
    if not kits:
        raise Http404("There is no kit on the shelf.")
    try:
        plan = shelf.floor(slug)
    except shelf.NotOnShelf as missing:
        raise Http404(str(missing)) from None
    kit = next((kit for kit in kits if kit.name == request.GET.get("kit")), kits[0])
    units = _units(request)
    standard, _ = shelf.house_standard()
    sheets = [
        {"level": i, "name": level.name, "svg": draw_plan(plan, i, name=f"l{i}", units=units)}
        for i, level in enumerate(plan.levels)
    ]
    context: dict[str, Any] = {
        "page": "drills", "plan": plan, "kit": kit, "kits": kits, "sheets": sheets, "units": units,
        "sheet_data": trial_data(plan, kit, standard), "standard": standard,
    }  # fmt: skip
    return render(request, "library/try.html", context)


@require_safe
def cautions(request: HttpRequest) -> HttpResponse:
    """What to keep in mind where the work can hurt someone."""
    return render(request, "library/cautions.html", {"page": "cautions"})


@require_safe
def terms(request: HttpRequest) -> HttpResponse:
    """What grades and drills take for granted, in plain words."""
    return render(request, "library/terms.html", {"page": "terms", "groups": GROUPS})


@login_required
@require_safe
def patterns(request: HttpRequest) -> HttpResponse:
    """Every part of the pages in every state, for whoever changes their looks."""
    return render(request, "library/patterns.html", {"page": "patterns", **samples(_units(request))})


urlpatterns = [
    path("places/", places, name="places"),
    path("places/<slug:slug>/", try_place, name="try"),
    path("cautions/", cautions, name="cautions"),
    path("terms/", terms, name="terms"),
    path("patterns/", patterns, name="patterns"),
]
