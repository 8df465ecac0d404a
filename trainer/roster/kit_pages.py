"""Pages of a person's kit: giving one with the parts that changed, and the list gone through by hand."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from scoring.rig.kit import Kit
from trainer.library.own import kit_in_use, kits_for
from trainer.library.skills import skill_name
from trainer.people.access import entered_for, people_led_by, people_trained_by
from trainer.roster.change_kit import change_kit, kits_between
from trainer.roster.check_kit import check_kit
from trainer.roster.entry import EntryError, KeyTaken, key_of
from trainer.roster.kit_parts import PARTS, differences, hand_list, skills_due, skills_on
from trainer.roster.models import KitChange
from trainer.roster.way_back import page_of


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part on the form: whether it is proposed, what differs, what hangs on it."""

    name: str
    chosen: bool
    differs: tuple[str, ...]
    skills: str


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def kit_page(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """First which kit; then which parts changed, proposed from what differs between the two."""
    person = get_object_or_404(people_led_by(request.user), pk=person_id)
    kits = {kit.name: kit for kit in kits_between(person, request.user)}
    before = kit_in_use(person)
    given = request.POST if request.method == "POST" else request.GET
    chosen, problem = kits.get(given.get("kit", "")), ""
    if request.method == "POST":
        try:
            change_kit(
                person,
                by=request.user,  # type: ignore[arg-type]
                key=key_of(given.get("key")),
                kit=given.get("kit", ""),
                parts=request.POST.getlist("part"),
                now=timezone.now(),
            )
        except (EntryError, KeyTaken) as error:
            problem = str(error)
        else:
            messages.success(request, f"Kept. From now on cases are made for this kit. {person} sees it.")
            return redirect(page_of(person, request.user))
    picked = request.POST.getlist("part") if request.method == "POST" else None
    context = {
        "page": "team",
        "person": person,
        "kits": kits.values(),
        "before": kits.get(before),
        "first": not before,
        "chosen": chosen,
        "rows": _rows(kits.get(before), chosen, picked) if chosen is not None and before else (),
        "key": request.POST.get("key") or uuid.uuid4(),
        "problem": problem,
    }
    return render(request, "roster/kit.html", context, status=400 if problem else 200)


def _rows(before: Kit | None, after: Kit, picked: list[str] | None) -> list[PartRow]:
    found = differences(before, after) if before is not None else ()
    rows = []
    for part in PARTS:
        differs = tuple(one.words for one in found if one.part == part)
        stars = skills_due([part])
        rows.append(
            PartRow(
                part,
                part in picked if picked is not None else bool(differs),
                differs,
                ", ".join(skill_name(code) for code in skills_on(part) if code in stars),
            )
        )
    return rows


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def kit_check_page(request: HttpRequest, change_id: uuid.UUID) -> HttpResponse:
    """Every line of the changed parts, gone through with the person by hand."""
    trained = KitChange.objects.filter(person__in=people_trained_by(request.user))
    mine = entered_for(trained, request.user).exclude(parts=[])
    change: KitChange = get_object_or_404(mine.select_related("person", "check_list__by"), pk=change_id)
    problem, done = "", request.POST.getlist("done")
    if request.method == "POST":
        try:
            check_kit(change, by=request.user, done=done, now=timezone.now())  # type: ignore[arg-type]
        except EntryError as error:
            problem = str(error)
        else:
            messages.success(request, "Signed.")
            return redirect(page_of(change.person, request.user))
    kits = {kit.name: kit.title for kit in kits_for(request.user)}
    context = {
        "page": "team", "change": change, "person": change.person, "title": kits.get(change.kit, change.kit),
        "lines": hand_list(change.parts), "done": done, "problem": problem,
        "signed": getattr(change, "check_list", None),
    }  # fmt: skip
    return render(request, "roster/kit_check.html", context, status=400 if problem else 200)


urlpatterns = [
    path("people/<uuid:person_id>/kit/", kit_page, name="give_kit"),
    path("kit-changes/<uuid:change_id>/", kit_check_page, name="kit_check"),
]
