"""The bench: choose a room, a kit and a fault, turn its parameters, and see frame and numbers follow.

Every address says a whole set-up, so that it can be passed on. Pages work as a plain form too.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_safe

from scoring.frame.faults import FAULTS, Choice, Parameter
from trainer.library import shelf
from trainer.renders import readings
from trainer.renders.chart import along, curve_svg
from trainer.renders.darkroom import NotYet
from trainer.renders.serving import not_yet, served
from trainer.renders.setups import LIGHTS, NoSuchSetup, Setup, rooms_of, setup_of, take_json_of, unpacked

STEPS = 100
"""Of a slider from one end to the other."""


@login_required
@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """The bench with the set-up of the address."""
    problem = ""
    try:
        setup = setup_of(request.GET.dict())
        take_json_of(setup)
    except NoSuchSetup as error:
        problem = str(error)
        kept = {name: value for name, value in request.GET.dict().items() if name in {"floor", "kit", "light"}}
        try:
            setup = setup_of(kept)
        except NoSuchSetup:
            setup = setup_of({})
    try:
        found = numbers_of(setup, str(request.user.pk), patient=False)
    except NoSuchSetup as error:
        problem, found = str(error), nothing_measured(setup)
    plan, rooms = shelf.floor(setup.floor), rooms_of(shelf.floor(setup.floor))
    context: dict[str, Any] = {
        "place_title": plan.title, "room_title": dict(rooms)[setup.room], "kit_title": shelf.kit(setup.kit).title,
        "page": "bench", "problem": problem, "setup": setup, "view": view_of(setup), "controls": controls(setup),
        "floors": shelf.floors(),
        "rooms": rooms,
        "kits": shelf.kits(),
        "lights": [(name, words) for name, (words, _) in LIGHTS.items()],
        "faults": [(code, form.title) for code, form in FAULTS.items()],
        **found,
    }  # fmt: skip
    context["view"]["spots"] = context["spots"]
    return render(request, "renders/bench.html", context, status=400 if problem else 200)


@login_required
@require_safe
def numbers(request: HttpRequest) -> HttpResponse:
    """What is measured on the set-up's frame, as a piece of the page; asked for again while it is being measured."""
    try:
        setup = setup_of(request.GET.dict())
        context = {"setup": setup, **numbers_of(setup, str(request.user.pk), patient=True)}
    except NoSuchSetup as error:
        return HttpResponse(str(error), status=400, content_type="text/plain; charset=utf-8")
    if context["severity"] is None:
        return not_yet(NotYet())
    return render(request, "renders/parts/numbers.html", context)


@login_required
@require_safe
def curve(request: HttpRequest) -> HttpResponse:
    """How the worst number goes with one parameter, as a piece of the page."""
    try:
        setup = setup_of(request.GET.dict())
        found = readings.curve_of(setup, request.GET.get("over", ""), str(request.user.pk))
    except NoSuchSetup as error:
        return HttpResponse(str(error), status=400, content_type="text/plain; charset=utf-8")
    except NotYet as wait:
        return not_yet(wait)
    context: dict[str, Any] = {"curve": found}
    if found is not None:
        context["svg"], context["along"] = curve_svg(found), along(found)
        context["here"] = found.quantity.said(found.here[1])
        context["rows"] = [(f"{x:g}", found.quantity.said(y)) for x, y in found.points]
    return render(request, "renders/parts/curve.html", context)


@login_required
@require_safe
def picture(request: HttpRequest, setup: str, name: str, part: str) -> HttpResponse:
    """A picture of a set-up: "frame", "clean", or a raw heading."""
    try:
        found = unpacked(setup)
        take = take_json_of(found.clean if name == "clean" else found)
    except NoSuchSetup as error:
        raise Http404(str(error)) from None
    return served(take, "frame" if name == "clean" else name, part, str(request.user.pk))


def numbers_of(setup: Setup, who: str, *, patient: bool) -> dict[str, Any]:
    """The measured numbers with their verdicts, for who asks; no severity and no rows while they are being measured."""
    try:
        found, reading = readings.severity_of(setup, who, patient=patient)
    except NotYet:
        return nothing_measured(setup)
    rows, mean_deg = readings.rows_of(found), reading.mean_doubling_deg
    return {
        "severity": found,
        "rows": [row for row in rows if row["verdict"] != "keep" or row["something"]] or rows[:1],
        "nothing": [row for row in rows if row["verdict"] == "keep" and not row["something"]],
        "verdict": readings.VERDICTS[found.verdict],
        "spots": readings.spots_of(found, reading),
        "mean_doubling": "" if mean_deg is None else readings.QUANTITIES["doubling_deg"].said(mean_deg),
        "notches": 3 if found.trip else {"keep": 0, "either": 1, "redo": 2}[found.verdict],
        "here": address_of(setup),
    }


def nothing_measured(setup: Setup) -> dict[str, Any]:
    """The same before anything is measured."""
    return {"severity": None, "rows": [], "nothing": [], "spots": [], "notches": 0, "here": address_of(setup)}


def view_of(setup: Setup) -> dict[str, Any]:
    """The viewer's context: the frame of the set-up, its first heading raw, and the clean frame of the same spot."""
    word = setup.packed()

    def address(name: str) -> str:
        whole = reverse("bench_picture", kwargs={"setup": word, "name": name, "part": "1024"})
        return whole.removesuffix("1024.jpg")

    wrong = setup.fault != "N0"
    named = [("frame", "frame", "With the fault" if wrong else "Frame")]
    named += [("clean", "frame", "Clean")] if wrong else []
    named += [("heading-1", "heading", "Heading 1")]
    pictures = [{"name": name, "what": what, "title": words, "address": address(name)} for name, what, words in named]
    return {
        "id": "view",
        "pictures": pictures,
        "compare": "clean" if wrong else "",
        "spots": [],
        "points": True,
        "spots_most": 0,
    }


def controls(setup: Setup) -> list[dict[str, Any]]:
    """The fault's parameters as fields: words, unit, bounds, step, value."""
    headings = shelf.kit(setup.kit).headings
    out: list[dict[str, Any]] = []
    for one in setup.form.parameters:
        value = setup.values[one.name]
        if isinstance(one, Choice):
            out.append({"name": one.name, "words": one.words, "options": one.options, "value": value})
            continue
        high = min(one.high, float(headings)) if one.name in {"heading", "seam"} else one.high
        high = min(high, headings - 1.0) if one.name == "missing" else high
        low = least(one)
        step = 1.0 if one.whole else float(f"{(high - low) / STEPS:.1g}")
        out.append({
            "name": one.name, "words": one.words, "unit": one.unit, "low": f"{low:g}", "high": f"{high:g}",
            "step": f"{step:g}", "value": f"{value:g}",
        })  # fmt: skip
    return out


def least(one: Parameter) -> float:
    """The least value that a parameter takes."""
    return -one.high if one.signed else one.low if one.whole else 0.0


def address_of(setup: Setup) -> str:
    """The bench's address with that set-up."""
    return f"{reverse('bench')}?{urlencode(setup.fields())}"


urlpatterns = [
    path("bench/", bench, name="bench"),
    path("bench/numbers/", numbers, name="bench_numbers"),
    path("bench/curve/", curve, name="bench_curve"),
    path("bench/<slug:setup>/<slug:name>/<slug:part>.jpg", picture, name="bench_picture"),
]
