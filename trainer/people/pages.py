"""Pages of this room: one's own settings and teams, and what a browser keeps for hours without a connection."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from trainer.people import coming_in, firm_pages, members, offline
from trainer.people.access import teams_led_by, teams_of
from trainer.people.deactivate import end_sessions
from trainer.people.leave import leave
from trainer.people.models import Person, Team
from trainer.people.roles import PeopleError, roles_in


class OwnSettings(forms.ModelForm[Person]):
    """What a person sets for oneself."""

    class Meta:
        model = Person
        fields = ["units", "reminded"]
        widgets = {"units": forms.RadioSelect}


@dataclass(frozen=True, slots=True)
class Place:
    """A team that one is in, and as what."""

    team: Team
    roles: list[str]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """Units of length, reminders, teams, password, signing out."""
    person: Person = request.user  # type: ignore[assignment]
    form = OwnSettings(request.POST or None, instance=person)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Kept.")
        return redirect("settings")
    teams = teams_of(person).select_related("firm").order_by("firm__name", "name", "pk")
    context = {
        "page": "settings",
        "form": form,
        "leads": teams_led_by(person).exists(),
        "places": [Place(team, roles_in(person, team)) for team in teams],
    }
    return render(request, "people/settings.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def leave_team(request: HttpRequest, team_id: uuid.UUID) -> HttpResponse:
    """Leave a team that one is in; asked once more, because coming back needs an invitation."""
    person: Person = request.user  # type: ignore[assignment]
    team: Team = get_object_or_404(teams_of(person).select_related("firm"), pk=team_id)
    if request.method != "POST":
        return render(request, "people/leave.html", {"page": "settings", "team": team})
    try:
        leave(person, team, timezone.now())
        messages.success(request, f"You left {team}. Your record stays with you.")
    except PeopleError as error:
        messages.error(request, str(error))
    return redirect("settings")


@login_required
@require_POST
def sign_out_elsewhere(request: HttpRequest) -> HttpResponse:
    """End every session but this one, for a phone that was lost."""
    person: Person = request.user  # type: ignore[assignment]
    end_sessions(person)
    person.refresh_from_db()
    update_session_auth_hash(request, person)
    messages.success(request, "Signed out everywhere but here.")
    return redirect("settings")


urlpatterns = [
    path("settings/", settings, name="settings"),
    path("settings/teams/<uuid:team_id>/leave/", leave_team, name="leave_team"),
    path("settings/sign-out-elsewhere/", sign_out_elsewhere, name="sign_out_elsewhere"),
    path("offline.js", offline.worker, name="offline_worker"),
    path("offline/", offline.away, name="offline"),
    *members.urlpatterns,
    *coming_in.urlpatterns,
    *firm_pages.urlpatterns,
]
