"""Pages of refreshers: those of one's teams, setting a day, one with its proposals and its progress.

For those who lead; who decides for the team sets a day, gives plans and ends it.
"""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from trainer.people.access import of_teams_led, teams_decided_by, teams_led_by
from trainer.people.models import Person
from trainer.progress.follow import progress_of
from trainer.progress.pages import keep_up
from trainer.progress.proposal import Proposal, propose, states_then
from trainer.progress.sittings import LAST_DAYS, sittings
from trainer.progress.why import UNSURE_CASES
from trainer.roster.entry import EntryError, KeyTaken, key_of
from trainer.roster.models import Refresher
from trainer.roster.refresh import (
    TITLE_MAX,
    Wanted,
    end_refresher,
    give_plans,
    refresher_open,
    set_refresher,
    those_asked,
)
from trainer.roster.reshoots import drill_weights

SHOWN = 100
AT_ONCE = 25
"""So many people are proposed for at a time; the next ones come up when these have their plans."""


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def refreshers(request: HttpRequest) -> HttpResponse:
    """The refreshers of the teams that one leads, and a form to set another day."""
    if not teams_led_by(request.user).exists():
        raise Http404("This visitor leads nobody.")
    if request.method == "POST":
        return _set(request)
    return _list(request)


def _set(request: HttpRequest) -> HttpResponse:
    decided = teams_decided_by(request.user)
    if not decided.exists():
        raise Http404("This visitor decides for nobody.")
    given = request.POST
    try:
        team = decided.filter(pk=_id(given.get("team"))).first()
        if team is None:
            raise EntryError("Choose one of your teams.")
        try:
            ready_on = date.fromisoformat(given.get("ready_on", ""))
        except ValueError:
            raise EntryError("Give the day by which everybody should be ready.") from None
        made = set_refresher(
            team, title=given.get("title", ""), ready_on=ready_on, by=_visitor(request),
            key=key_of(given.get("key")), now=timezone.now(),
        )  # fmt: skip
    except (EntryError, KeyTaken) as error:
        return _list(request, str(error), 400)
    return redirect("refresher", refresher_id=made.pk)


def _list(request: HttpRequest, problem: str = "", status: int = 200) -> HttpResponse:
    rows = of_teams_led(Refresher.objects.all(), request.user).select_related("team", "by", "end")
    today = timezone.now().date()
    context = {
        "page": "team",
        "rows": [(row, _stands(row, today)) for row in rows.order_by("-ready_on", "-made_at")[:SHOWN]],
        "teams": teams_decided_by(request.user).select_related("firm").order_by("firm__name", "firm", "name"),
        "problem": problem, "posted": request.POST, "key": request.POST.get("key") or uuid.uuid4(),
        "title_max": TITLE_MAX,
    }  # fmt: skip
    return render(request, "progress/refreshers.html", context, status=status)


def _stands(row: Refresher, today: date) -> str:
    if hasattr(row, "end"):
        return "ended"
    return "runs" if row.ready_on >= today else "over"


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def refresher(request: HttpRequest, refresher_id: uuid.UUID) -> HttpResponse:
    """One refresher: who would need what by its day, and what is done of what was given."""
    rows = Refresher.objects.select_related("team", "by", "end")
    if request.method == "POST":
        decided: Refresher = get_object_or_404(rows.filter(team__in=teams_decided_by(request.user)), pk=refresher_id)
        return _give(request, decided)
    led: Refresher = get_object_or_404(of_teams_led(rows, request.user), pk=refresher_id)
    return _show(request, led)


def _show(request: HttpRequest, row: Refresher, problem: str = "", status: int = 200) -> HttpResponse:
    keep_up()
    now = timezone.now()
    runs = refresher_open(row, now.date())
    decides = teams_decided_by(request.user).filter(pk=row.team_id).exists()
    left = _without_plan(request, row) if runs and decides else []
    proposals = _proposals(request, row, set(left[:AT_ONCE])) if left else []
    context: dict[str, Any] = {
        "page": "team", "row": row, "stands": _stands(row, now.date()), "days": (row.ready_on - now.date()).days,
        "decides": decides, "proposals": [one for one in proposals if one.wanted],
        "holding": [one for one in proposals if not one.wanted], "more": max(0, len(left) - AT_ONCE),
        "progress": progress_of(row, _visitor(request), now),
        "last_days": LAST_DAYS, "unsure_cases": UNSURE_CASES, "problem": problem,
        "sittings": sittings(now.date(), row.ready_on, 2) if runs else (),
    }  # fmt: skip
    return render(request, "progress/refresher.html", context, status=status)


def _proposals(request: HttpRequest, row: Refresher, chosen: set[uuid.UUID]) -> list[Proposal]:
    """For some of those who have no plan yet."""
    now = timezone.now()
    people = those_asked(row, _visitor(request)).filter(pk__in=chosen).exclude(plans__refresher=row)
    return propose(people, row.ready_on, now, weights=drill_weights(row.team.firm, now.date()), visitor=request.user)


def _without_plan(request: HttpRequest, row: Refresher) -> list[uuid.UUID]:
    """Those who have no plan yet: whom it is for first, then those in training, then who still holds; then by name."""
    people = those_asked(row, _visitor(request)).exclude(plans__refresher=row)
    then = states_then(people, row.ready_on)
    order = {"due": 0, "lapsed": 0, "ready": 2}
    names = {pk: name.casefold() for pk, name in people.values_list("pk", "name")}
    return sorted(names, key=lambda pk: (order.get(then[pk], 1), names[pk], str(pk)))


def _give(request: HttpRequest, row: Refresher) -> HttpResponse:
    keep_up()
    chosen = {_id(one) for one in request.POST.getlist("person")[:AT_ONCE]}
    proposals = [one for one in _proposals(request, row, chosen) if one.wanted]
    people = {person.pk: person for person in those_asked(row, _visitor(request))}
    wanted = [Wanted(people[one.person_id], one.wanted, one.minutes, one.chance or 0.0) for one in proposals]
    try:
        if not chosen:
            raise EntryError("Tick who is to get a plan.")
        made = give_plans(row, wanted, by=_visitor(request), now=timezone.now())
    except EntryError as error:
        return _show(request, row, str(error), 400)
    messages.success(request, f"Given: {made} plan{'' if made == 1 else 's'}. Each stands on its person's first page.")
    return redirect("refresher", refresher_id=row.pk)


@login_required
@require_POST
def end(request: HttpRequest, refresher_id: uuid.UUID) -> HttpResponse:
    """End a refresher: it asks nothing of anybody any more."""
    decided = Refresher.objects.filter(team__in=teams_decided_by(request.user))
    row: Refresher = get_object_or_404(decided, pk=refresher_id)
    end_refresher(row, by=_visitor(request), now=timezone.now())
    messages.success(request, "Ended. It asks nothing of anybody any more.")
    return redirect("refresher", refresher_id=row.pk)


def _visitor(request: HttpRequest) -> Person:
    assert isinstance(request.user, Person)
    return request.user


def _id(text: str | None) -> uuid.UUID:
    try:
        return uuid.UUID(text or "")
    except ValueError:
        return uuid.UUID(int=0)


urlpatterns = [
    path("refreshers/", refreshers, name="refreshers"),
    path("refreshers/<uuid:refresher_id>/", refresher, name="refresher"),
    path("refreshers/<uuid:refresher_id>/end/", end, name="refresher_end"),
]
