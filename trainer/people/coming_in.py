"""Pages of invitations: make one and show its link once, take one back, and join by one."""

from __future__ import annotations

import uuid
from datetime import datetime

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from trainer.people.access import teams_decided_by
from trainer.people.apart import kept_apart
from trainer.people.invite import DAYS, invitations_for, invite, withdraw
from trainer.people.join import NoSuchInvitation, NotTaken, invitation_of, join, join_as_new
from trainer.people.models import Invitation, Person, Team
from trainer.people.newcomers import TooOften, counted
from trainer.people.roles import ORDER, PeopleError, may_give
from trainer.people.tries import address_of


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def invite_page(request: HttpRequest) -> HttpResponse:
    """Invite somebody to a team that the visitor decides for; the link is shown here and nowhere else."""
    teams = list(teams_decided_by(request.user).select_related("firm").order_by("firm__name", "name", "pk"))
    if not teams:
        raise Http404("No team is decided for by this visitor.")
    given = [role for role in ORDER if any(role in may_give(request.user, team) for team in teams)]  # type: ignore[arg-type]
    context = {
        "page": "people",
        "teams": teams,
        "roles": given,
        "days": DAYS,
        "several": len({team.firm_id for team in teams}) > 1,
        "asked": {
            "team": request.POST.get("team") or request.GET.get("team") or str(teams[0].pk),
            "roles": request.POST.getlist("roles") or ["operator"],
            "days": request.POST.get("days", "7"),
            "email": request.POST.get("email", ""),
        },
    }
    if request.method != "POST":
        return render(request, "people/invite.html", context)
    try:
        return _invited(request, teams)
    except PeopleError as error:
        return render(request, "people/invite.html", {**context, "problem": str(error)}, status=400)


def _invited(request: HttpRequest, teams: list[Team]) -> HttpResponse:
    """Make the invitation and show its link. Raises PeopleError, Http404 for a team that is not among these."""
    if not request.POST.get("team"):
        raise PeopleError("Choose a team.")
    team = next((one for one in teams if str(one.pk) == request.POST["team"]), None)
    if team is None:
        raise Http404("No such team.")
    days = request.POST.get("days", "")
    made = invite(
        team,
        roles=request.POST.getlist("roles"),
        by=request.user,  # type: ignore[arg-type]
        now=timezone.now(),
        days=int(days) if days.isascii() and days.isdigit() and len(days) < 4 else 0,
        email=request.POST.get("email", ""),
    )
    link = request.build_absolute_uri(reverse("join", args=[made.code]))
    context = {"page": "people", "invitation": made.invitation, "link": link, "code": made.code}
    return render(request, "people/invited.html", context)


@login_required
@require_POST
def withdraw_page(request: HttpRequest, invitation_id: uuid.UUID) -> HttpResponse:
    """Take an open invitation back."""
    found: Invitation = get_object_or_404(invitations_for(request.user, timezone.now()), pk=invitation_id)
    withdraw(found, by=request.user, now=timezone.now())  # type: ignore[arg-type]
    messages.success(request, "Taken back. Its link opens nothing any more.")
    return redirect("people")


@require_http_methods(["GET", "HEAD"])
def join_by_code(request: HttpRequest) -> HttpResponse:
    """Type the code of an invitation that came without its link."""
    typed = slugify(request.GET.get("code", "").replace(" ", ""))
    return redirect("join", code=typed) if typed else render(request, "people/join_code.html", {"page": "join"})


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def join_page(request: HttpRequest, code: str) -> HttpResponse:
    """Join a team: with one tap when signed in, else with name, address and password."""
    person, now = request.user if isinstance(request.user, Person) else None, timezone.now()
    problems: dict[str, list[str]] = {}
    try:
        invitation = invitation_of(code, now, person)
        if request.method == "POST":
            try:
                if person is None:
                    return _come(request, code, invitation, now)
                join(code, person, now)
                return _arrived(request, invitation)
            except NotTaken as wrong:
                problems = wrong.fields
            except TooOften as wrong:
                problems = {"email": [str(wrong)]}
            except PeopleError as wrong:
                problems = {"person": [str(wrong)]}
    except NoSuchInvitation:
        return render(request, "people/join_closed.html", {"page": "join"}, status=404)
    context = {
        "page": "join",
        "invitation": invitation,
        "code": code,
        "problems": problems,
        "apart": kept_apart(person, invented=invitation.team.firm.invented) if person else "",
        "back": request.path,
        "given": {name: request.POST.get(name, "") for name in ("name", "email")},
    }
    return render(request, "people/join.html", context, status=400 if problems else 200)


def _come(request: HttpRequest, code: str, invitation: Invitation, now: datetime) -> HttpResponse:
    """Make the newcomer and sign them in. Raises NotTaken, NoSuchInvitation, TooOften."""
    made_by = invitation.made_by_id
    with counted(now, code_digest=invitation.code_digest, address=address_of(request), maker=made_by):
        newcomer = join_as_new(
            code,
            name=request.POST.get("name", ""),
            email=request.POST.get("email", ""),
            password=request.POST.get("password", ""),
            now=now,
        )
    login(request, newcomer, backend=settings.AUTHENTICATION_BACKENDS[0])
    return _arrived(request, invitation)


def _arrived(request: HttpRequest, invitation: Invitation) -> HttpResponse:
    messages.success(request, f"You are in {invitation.team} now.")
    return redirect("today")


urlpatterns = [
    path("people/invite/", invite_page, name="invite"),
    path("people/invitations/<uuid:invitation_id>/withdraw/", withdraw_page, name="invite_withdraw"),
    path("join/", join_by_code, name="join_code"),
    path("join/<slug:code>/", join_page, name="join"),
]
