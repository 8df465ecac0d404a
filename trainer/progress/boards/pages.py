"""Pages of those who lead: the Team board, with the same as CSV."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from trainer.library.skills import skill_map
from trainer.people.access import firms_led_by
from trainer.progress.boards.chosen import Chosen, NoSuchTeam, chosen, in_led_teams, led
from trainer.progress.boards.need import by_need
from trainer.progress.boards.sheet import csv_text, team_rows
from trainer.progress.boards.team import board_of
from trainer.progress.demo.work import being_made
from trainer.progress.pages import keep_up
from trainer.progress.standing import standard_set
from trainer.progress.standings import now_of_many


@login_required
@require_safe
def team(request: HttpRequest) -> HttpResponse:
    """Who can be sent out alone, why, and what it would take for the rest."""
    choice = _chosen(request)
    keep_up()
    now = timezone.now()
    board = board_of(request.user, choice, now)
    invented = list(firms_led_by(request.user).filter(invented=True))
    context = {
        "page": "team",
        "board": board,
        "choice": choice,
        "today": now.date(),
        "set_version": standard_set().version,
        "stars": sum(bool(skill["star"]) for skill in skill_map().values()),
        "invented": bool(invented),
        "being_made": being_made(invented),
        "columns": 2 + len(board.skills),
        "bare": choice.address(send=()),
        "other_way": choice.address(skills="" if choice.skills else "1"),
        "sheet_address": choice.address(send=(), skills="", page=""),
        "pages": [(number, choice.address(page=number if number > 1 else "")) for number in range(1, board.pages + 1)],
    }
    return render(request, "progress/boards/team.html", context)


@login_required
@require_safe
def team_sheet(request: HttpRequest) -> HttpResponse:
    """The same people as CSV, all pages of them."""
    choice = _chosen(request)
    keep_up()
    now = timezone.now()
    needs = by_need(
        one
        for one in now_of_many(led(request.user, choice), now, request.user)
        if choice.kit in {"", one.kit} and choice.state in {"", one.state}
    )
    teams = in_led_teams([need.now.person_id for need in needs], choice.teams)
    return csv_reply(csv_text(team_rows(needs, teams)), "team", now)


def csv_reply(text: str, name: str, now: datetime) -> HttpResponse:
    """A CSV file to save."""
    reply = HttpResponse("\ufeff" + text, content_type="text/csv; charset=utf-8")
    reply["Content-Disposition"] = f'attachment; filename="levelhead-{name}-{now:%Y-%m-%d}.csv"'
    return reply


def _chosen(request: HttpRequest) -> Chosen:
    try:
        choice = chosen(request.user, request.GET)
    except NoSuchTeam:
        raise Http404("There is no such team.") from None
    if not choice.teams:
        raise Http404("This visitor leads nobody.")
    return choice


urlpatterns = [
    path("team/", team, name="team"),
    path("team/sheet.csv", team_sheet, name="team_sheet"),
]
