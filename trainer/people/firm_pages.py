"""Pages of a firm's own affairs: its first page by a code, its teams with their regions, and its rules about people."""

from __future__ import annotations

import uuid
from contextlib import nullcontext
from urllib.parse import urlencode

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from trainer.people.access import firms_owned_by
from trainer.people.apart import kept_apart
from trainer.people.codes import digest_of
from trainer.people.deactivate import deactivated_in, reactivate
from trainer.people.firm import FOUNDING_DAYS, found, make_team, may_found, name_team, set_firm
from trainer.people.join import newcomer_of
from trainer.people.models import Firm, Person, Team
from trainer.people.newcomers import counted
from trainer.people.roles import PeopleError
from trainer.people.tries import address_of


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def team_new(request: HttpRequest, firm_id: uuid.UUID) -> HttpResponse:
    """Make a team of a firm that the visitor owns."""
    firm: Firm = get_object_or_404(firms_owned_by(request.user), pk=firm_id)
    return _team_form(request, firm, None)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def team_edit(request: HttpRequest, team_id: uuid.UUID) -> HttpResponse:
    """Name a team and its region."""
    mine = Team.objects.filter(firm__in=firms_owned_by(request.user)).select_related("firm")
    team: Team = get_object_or_404(mine, pk=team_id)
    return _team_form(request, team.firm, team)


def _team_form(request: HttpRequest, firm: Firm, team: Team | None) -> HttpResponse:
    name = request.POST.get("name", team.name if team else "")
    region = request.POST.get("region", team.region if team else "")
    problem = ""
    if request.method == "POST":
        try:
            if team:
                name_team(team, name=name, region=region, by=request.user)  # type: ignore[arg-type]
            else:
                make_team(firm, name=name, region=region, by=request.user, now=timezone.now())  # type: ignore[arg-type]
        except PeopleError as error:
            problem = str(error)
        else:
            messages.success(request, "Kept.")
            return redirect("people")
    context = {"page": "people", "firm": firm, "team": team, "name": name, "region": region, "problem": problem}
    return render(request, "people/team.html", context, status=400 if problem else 200)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def firm_edit(request: HttpRequest, firm_id: uuid.UUID) -> HttpResponse:
    """The firm's name, what is kept of erased people, and whom it deactivated."""
    firm: Firm = get_object_or_404(firms_owned_by(request.user), pk=firm_id)
    gone, problem = deactivated_in(firm), ""
    if request.method == "POST" and request.POST.get("what") == "reactivate":
        person = get_object_or_404(Person.objects.filter(pk__in=[row.person.pk for row in gone]), pk=_id(request))
        try:
            reactivate(person, firm, by=request.user, now=timezone.now())  # type: ignore[arg-type]
        except PeopleError as error:
            problem = str(error)
        else:
            messages.success(request, f"{person} is back, in the same roles.")
            return redirect("firm_edit", firm_id=firm.pk)
    elif request.method == "POST":
        keeps = request.POST.get("keeps") == "yes"
        try:
            set_firm(firm, name=request.POST.get("name", ""), keeps_evidence=keeps, by=request.user)  # type: ignore[arg-type]
        except PeopleError as error:
            problem = str(error)
        else:
            messages.success(request, "Kept.")
            return redirect("firm_edit", firm_id=firm.pk)
    context = {"page": "people", "firm": firm, "gone": gone, "problem": problem}
    return render(request, "people/firm.html", context, status=400 if problem else 200)


def _id(request: HttpRequest) -> uuid.UUID | None:
    try:
        return uuid.UUID(request.POST.get("person", ""))
    except ValueError:
        return None


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def new_firm(request: HttpRequest) -> HttpResponse:
    """The first page of a real firm: its name, its first team, its owner. A code that was printed once opens it."""
    now = timezone.now()
    code = request.POST.get("code") or request.GET.get("code", "")
    context = {
        "page": "new-firm",
        "code": code,
        "opens": may_found(code, now),
        "given": {name: request.POST.get(name, "") for name in ("firm", "team", "region", "name", "email")},
        "invented": Firm.objects.filter(invented=True, closed_at=None).exists(),
        "days": FOUNDING_DAYS,
        "apart": kept_apart(request.user, invented=False) if isinstance(request.user, Person) else "",
        "back": f"{request.path}?{urlencode({'code': code})}",
    }
    if request.method != "POST" or not context["opens"]:
        tried = bool(code) and not context["opens"]
        return render(request, "people/new_firm.html", {**context, "tried": tried}, status=400 if tried else 200)
    signed_in = isinstance(request.user, Person)
    counting = nullcontext() if signed_in else counted(now, code_digest=digest_of(code), address=address_of(request))
    try:
        with counting:
            owner = request.user if isinstance(request.user, Person) else _owner(request)
            made = found(code, owner, firm=request.POST.get("firm", ""), team=request.POST.get("team", ""),
                         region=request.POST.get("region", ""), now=now)  # fmt: skip
    except PeopleError as error:
        return render(request, "people/new_firm.html", {**context, "problem": str(error)}, status=400)
    if not signed_in:
        login(request, owner, backend=settings.AUTHENTICATION_BACKENDS[0])
    messages.success(request, f"{made} is here. Invite your people next.")
    return redirect("people")


def _owner(request: HttpRequest) -> Person:
    """The first owner as entered, not saved yet. Raises PeopleError."""
    return newcomer_of(
        name=request.POST.get("name", ""),
        email=request.POST.get("email", ""),
        password=request.POST.get("password", ""),
    )


urlpatterns = [
    path("people/firms/<uuid:firm_id>/", firm_edit, name="firm_edit"),
    path("people/firms/<uuid:firm_id>/teams/new/", team_new, name="team_new"),
    path("people/teams/<uuid:team_id>/", team_edit, name="team_edit"),
    path("firm/new/", new_firm, name="new_firm"),
]
