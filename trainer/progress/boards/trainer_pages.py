"""Pages for those who train: what waits for them, who is stuck, whether trainers agree, and how cases do."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from scoring.mastery.quality import FLAG_FROM
from trainer.drills.reading import flags_for
from trainer.people.access import operators_of, people_trained_by, teams_led_by
from trainer.people.models import Person
from trainer.progress.boards.agree import agreed_on
from trainer.progress.boards.cases import case_rows, cases_of
from trainer.progress.boards.pages import csv_reply
from trainer.progress.boards.sheet import csv_text
from trainer.progress.boards.stuck import confusions, stuck_on
from trainer.progress.pages import keep_up

FLAGS_SHOWN = 5


@login_required
@require_safe
def trainer_board(request: HttpRequest) -> HttpResponse:
    """Everything on one page."""
    people = _led(request)
    keep_up()
    now = timezone.now()
    waiting = flags_for(request.user).filter(reply__isnull=True).order_by("made_at")
    context = {
        "page": "trainer",
        "people": people.exists(),
        "trains": people_trained_by(request.user).exists(),
        "waiting": waiting.count(),
        "oldest": waiting[:FLAGS_SHOWN],
        "stuck": stuck_on(people, now),
        "confusions": confusions(people, now),
        "between": agreed_on(people, request.user),
        "lines": cases_of(people, now),
        "flag_from": FLAG_FROM,
        "today": now.date(),
    }
    return render(request, "progress/boards/trainer.html", context)


@login_required
@require_safe
def case_sheet(request: HttpRequest) -> HttpResponse:
    """Quality of the cases as CSV."""
    people = _led(request)
    now = timezone.now()
    return csv_reply(csv_text(case_rows(cases_of(people, now))), "cases", now)


def _led(request: HttpRequest) -> QuerySet[Person]:
    teams = teams_led_by(request.user)
    if not teams.exists():
        raise Http404("This visitor leads nobody.")
    return operators_of(teams)


urlpatterns = [
    path("trainer/", trainer_board, name="trainer_board"),
    path("trainer/cases.csv", case_sheet, name="case_sheet"),
]
