"""The People page: who is in the teams that one leads, and a page to change what somebody is there."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from trainer.people.access import (
    firms_owned_by,
    lasting,
    members_decided_by,
    teams_decided_by,
    teams_led_by,
)
from trainer.people.deactivate import deactivate
from trainer.people.invite import invitations_for, opens
from trainer.people.models import Invitation, Person, Team
from trainer.people.move import move
from trainer.people.roles import ORDER, PeopleError, may_give, roles_in
from trainer.people.set_roles import set_roles

CHANGES = ("roles", "out", "move", "deactivate")


@dataclass(frozen=True, slots=True)
class Member:
    """Somebody in a team, in which roles, and since when."""

    person: Person
    roles: list[str]
    since: datetime


@dataclass(frozen=True, slots=True)
class TeamRows:
    """One team with its people and the invitations that are open."""

    team: Team
    decides: bool
    owns: bool
    members: list[Member]
    invitations: list[tuple[Invitation, bool]]
    """Each with whether its code opens anything still."""


@login_required
@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """The teams that the visitor leads, with members, roles, region and open invitations."""
    led = teams_led_by(request.user).select_related("firm").order_by("firm__name", "firm", "name", "pk")
    if not led.exists():
        raise Http404("No team is led by this visitor.")
    owned = firms_owned_by(request.user).order_by("name", "pk")
    context = {
        "page": "people",
        "rows": _rows(request, list(led)),
        "firms": owned,
        "decides": teams_decided_by(request.user).exists(),
        "several": led.values("firm").distinct().count() > 1,
    }
    return render(request, "people/people.html", context)


def _rows(request: HttpRequest, teams: list[Team]) -> list[TeamRows]:
    decided = set(teams_decided_by(request.user).values_list("pk", flat=True))
    owned = set(firms_owned_by(request.user).values_list("pk", flat=True))
    held: dict[Any, dict[Any, Member]] = {team.pk: {} for team in teams}
    memberships = lasting().filter(team__in=teams).select_related("person").order_by("person__name", "person", "since")
    for row in memberships:
        member = held[row.team_id].setdefault(row.person_id, Member(row.person, [], row.since))
        member.roles.append(row.role)
    for members in held.values():
        for member in members.values():
            member.roles.sort(key=ORDER.index)
    waiting = list(invitations_for(request.user, timezone.now()).order_by("expires_at"))
    return [
        TeamRows(
            team,
            team.pk in decided,
            team.firm_id in owned,
            list(held[team.pk].values()),
            [(one, opens(one)) for one in waiting if one.team_id == team.pk],
        )
        for team in teams
    ]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def member(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """What one person is in the teams that the visitor decides for, and the ways to change it."""
    person: Person = get_object_or_404(members_decided_by(request.user), pk=person_id)
    problem = ""
    if request.method == "POST":
        try:
            words = _change(request, person)
        except PeopleError as error:
            problem = str(error)
        else:
            messages.success(request, words)
            still = members_decided_by(request.user).filter(pk=person.pk).exists()
            return redirect("member", person_id=person.pk) if still else redirect("people")
    return render(request, "people/member.html", _shown(request, person, problem), status=400 if problem else 200)


def _change(request: HttpRequest, person: Person) -> str:
    """Do what the form asks; the words that say it was done. Raises PeopleError, Http404."""
    what, by, now = request.POST.get("what"), request.user, timezone.now()
    if what not in CHANGES:
        raise PeopleError("Choose what is to change.")
    decided = teams_decided_by(by)
    team: Team = get_object_or_404(decided.select_related("firm"), pk=_id(request.POST.get("team")))
    if what == "roles":
        roles = request.POST.getlist("roles")
        if not roles:
            raise PeopleError("Choose at least one role, or take the person out of the team.")
        set_roles(person, team, roles, by=by, now=now)  # type: ignore[arg-type]
        return f"Kept: what {person} is in {team}."
    if what == "out":
        set_roles(person, team, [], by=by, now=now)  # type: ignore[arg-type]
        return f"{person} is not in {team} any more. The record stays with {person}."
    if what == "move":
        target: Team = get_object_or_404(decided.filter(firm=team.firm_id), pk=_id(request.POST.get("target")))
        move(person, team, target, by=by, now=now)  # type: ignore[arg-type]
        return f"{person} is in {target} now. The record went along."
    firm = get_object_or_404(firms_owned_by(by), pk=team.firm_id)
    deactivate(person, firm, by=by, now=now)  # type: ignore[arg-type]
    return f"{person} is deactivated and signed out everywhere. The firm’s page takes people back."


def _id(text: str | None) -> uuid.UUID:
    """An id that a form brought. Raises Http404 for what is none."""
    try:
        return uuid.UUID(text or "")
    except ValueError:
        raise Http404("No id.") from None


def _shown(request: HttpRequest, person: Person, problem: str) -> dict[str, Any]:
    decided = teams_decided_by(request.user).select_related("firm").order_by("name", "pk")
    here = decided.filter(pk__in=lasting().filter(person=person).values("team"))
    places = []
    for team in here:
        given, held = may_give(request.user, team), roles_in(person, team)  # type: ignore[arg-type]
        places.append(
            {
                "team": team,
                "held": held,
                "given": given,
                "targets": [one for one in decided if one.firm_id == team.firm_id and one.pk != team.pk],
                "owns": "owner" in given,
                "closed": "owner" in held and "owner" not in given,
            }
        )
    return {"page": "people", "person": person, "places": places, "problem": problem, "self": person == request.user}


urlpatterns = [
    path("people/", people, name="people"),
    path("people/<uuid:person_id>/roles/", member, name="member"),
]
