"""Pages of what is given to people: drills and rounds, taking them back, and words on an attempt."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from trainer.library.shelf import recipes
from trainer.library.skills import groups_of
from trainer.people.access import entered_for, people_led_by
from trainer.people.models import Person
from trainer.roster import remark as remarking
from trainer.roster.assign import COUNT_MAX, WORDS_MAX, assign, remarks_on
from trainer.roster.decisions import day_of
from trainer.roster.entry import EntryError, KeyTaken, key_of
from trainer.roster.models import Assignment
from trainer.roster.way_back import page_of
from trainer.roster.withdraw import withdraw

ROUND = "round-"


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing that can be given: a drill, or a round of all drills of a skill."""

    value: str
    title: str
    recipes: tuple[str, ...]


def offers() -> list[tuple[str, list[Offer]]]:
    """What can be given, by skill: first the round of it where it has several drills, then each drill."""
    out = []
    for group in groups_of(recipes()):
        names = tuple(recipe.name for recipe in group.recipes)
        row = [Offer(recipe.name, recipe.title, (recipe.name,)) for recipe in group.recipes]
        if len(names) > 1:
            row.insert(0, Offer(f"{ROUND}{group.code}", f"A round: each of the {len(names)} drills below", names))
        out.append((group.name, row))
    return out


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def assign_page(request: HttpRequest) -> HttpResponse:
    """Give a drill or a round to one person or to several; ``?to=`` names those already chosen."""
    people = people_led_by(request.user)
    if not people.exists():
        raise Http404("Nobody is led by this visitor.")
    listed, problem = offers(), ""
    given = request.POST if request.method == "POST" else request.GET
    chosen = set(given.getlist("to"))
    to = [person for person in people.order_by("name", "pk") if str(person.pk) in chosen]
    if request.method == "POST":
        try:
            if len(to) != len(chosen):
                raise EntryError("Somebody of these is no longer in a team that you lead. Choose again.")
            _assign(request, to, listed)
        except (EntryError, KeyTaken) as error:
            problem = str(error)
        else:
            names = to[0].name if len(to) == 1 else f"{len(to)} people"
            messages.success(request, f"Given to {names}. It stands on their first page.")
            return redirect(page_of(to[0], request.user) if len(to) == 1 else "assign")
    context = {
        "page": "team",
        "people": people.order_by("name", "pk"),
        "chosen": chosen,
        "offers": listed,
        "posted": given,
        "problem": problem,
        "key": request.POST.get("key") or uuid.uuid4(),
        "count_max": COUNT_MAX,
        "words_max": WORDS_MAX,
        "today": timezone.now().date().isoformat(),
    }
    return render(request, "roster/assign.html", context, status=400 if problem else 200)


def _assign(request: HttpRequest, to: list[Person], listed: list[tuple[str, list[Offer]]]) -> None:
    given = request.POST
    offered = {offer.value: offer.recipes for _, row in listed for offer in row}
    try:
        count = int(given.get("count", ""))
    except ValueError:
        raise EntryError("Give the number of cases as a whole number.") from None
    assign(
        to,
        by=request.user,  # type: ignore[arg-type]
        key=key_of(given.get("key")),
        recipes=offered.get(given.get("what", ""), ()),
        count=count,
        words=given.get("words", ""),
        due_on=day_of(given.get("due_on", "")),
        now=timezone.now(),
    )


@login_required
@require_POST
def withdraw_page(request: HttpRequest, assignment_id: uuid.UUID) -> HttpResponse:
    """Take back what was given."""
    mine = entered_for(Assignment.objects.filter(person__in=people_led_by(request.user)), request.user)
    assignment: Assignment = get_object_or_404(mine.select_related("person"), pk=assignment_id)
    withdraw(assignment, by=request.user, now=timezone.now())  # type: ignore[arg-type]
    messages.success(request, "Taken back.")
    return redirect(page_of(assignment.person, request.user))


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def remark_page(request: HttpRequest, answered_id: uuid.UUID) -> HttpResponse:
    """Words on an answered attempt; the form stands on its graded page, this page keeps them when they are refused."""
    answered = people_led_by(request.user).filter(attempts=answered_id, attempts__answer__isnull=False)
    person = get_object_or_404(answered)
    problem, words = "", request.POST.get("words", "")
    if request.method == "POST":
        try:
            remarking.remark(
                person,
                answered_id,
                by=request.user,  # type: ignore[arg-type]
                key=key_of(request.POST.get("key")),
                words=words,
                now=timezone.now(),
            )
        except (EntryError, KeyTaken) as error:
            problem = str(error)
        else:
            messages.success(request, f"Kept. {person} sees it with the case.")
            return redirect("graded", attempt_id=answered_id)
    context = {
        "page": "team", "person": person, "attempt_id": answered_id, "problem": problem, "words": words,
        "key": request.POST.get("key") or uuid.uuid4(), "remarks": remarks_on(answered_id, request.user),
        "words_max": remarking.WORDS_MAX,
    }  # fmt: skip
    return render(request, "roster/remarks.html", context, status=400 if problem else 200)


urlpatterns = [
    path("assign/", assign_page, name="assign"),
    path("assignments/<uuid:assignment_id>/withdraw/", withdraw_page, name="withdraw"),
    path("attempts/<uuid:answered_id>/remarks/", remark_page, name="remark"),
]
