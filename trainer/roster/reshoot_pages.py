"""Pages of reshoots: figures by cause, what drills weigh more, the log, and the log as a file. For those who lead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from scoring.mastery.costs import EVEN_WORTH, MEAN_FROM, WEIGHT_MOST, WEIGHTS_VERSION
from trainer.library.own import kits_for
from trainer.library.shelf import recipes
from trainer.library.skills import skill_name
from trainer.people.access import people_named_to
from trainer.people.models import Firm
from trainer.roster.causes import cause_words
from trainer.roster.cost_bars import cost_bar
from trainer.roster.models import JobCount, Reshoot
from trainer.roster.reshoot_choice import Choice, led_by
from trainer.roster.reshoot_figures import figures_of
from trainer.roster.reshoot_file import written
from trainer.roster.reshoots import drill_weights, standing
from trainer.roster.strike_reshoot import REASON_MAX

SHOWN = 10
SHOWN_MOST = 500


@login_required
@require_safe
def reshoots(request: HttpRequest) -> HttpResponse:
    """Costs by cause with their intervals, what drills weigh more for it, and the newest entries."""
    choice = Choice.of(request)
    today = timezone.now().date()
    count = standing().filter(team__in=choice.teams)
    found = figures_of(count, JobCount.objects.filter(team__in=choice.teams), choice.months)
    inside = choice.rows().filter(shot_on__gte=choice.months.first, shot_on__lt=choice.months.end)
    latest = inside.select_related("person", "by", "struck__by", "team").order_by("-shot_on", "-made_at", "pk")
    most = SHOWN_MOST if "all" in request.GET else SHOWN
    context = {
        "page": "reshoots", "choice": choice, "teams": led_by(request), "figures": found, "mean_from": MEAN_FROM,
        "lines": [(line, cost_bar(line.cost, found.scale)) for line in found.lines],
        "weights": firm_weights(request, today),
        "formula": {"most": WEIGHT_MOST - 1, "worth": EVEN_WORTH, "version": WEIGHTS_VERSION},
        "log": log_lines(list(latest[:most]), request), "shown": most, "all": inside.count(),
        "reason_max": REASON_MAX, "query": request.GET.urlencode(),
    }  # fmt: skip
    return render(request, "roster/reshoots.html", context)


@dataclass(frozen=True, slots=True)
class FirmWeights:
    """What the reshoots of a whole firm weigh on its drills, strongest first."""

    firm: Firm
    told: bool
    """Whether the visitor leads every team of the firm. Else nothing is listed: it would tell of other teams."""
    skills: list[tuple[str, float]]
    """Those that a drill practises."""
    by_shoot: list[str]
    """Names of those that no drill practises."""


def firm_weights(request: HttpRequest, today: date) -> list[FirmWeights]:
    """For each firm in which the visitor leads a team."""
    led = list(led_by(request))
    practised = {skill for recipe in recipes() for skill in recipe.skills}
    out = []
    for firm in dict.fromkeys(team.firm for team in led):
        told = firm.teams.count() == sum(team.firm_id == firm.pk for team in led)
        weights = drill_weights(firm, today) if told else {}
        found = sorted(weights.items(), key=lambda one: (-one[1], one[0]))
        drilled = [(skill_name(code), weight) for code, weight in found if code in practised]
        others = [skill_name(code) for code, _ in found if code not in practised]
        out.append(FirmWeights(firm, told, drilled, others))
    return out


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry as the log shows it."""

    row: Reshoot
    words: str
    kit: str
    who: str
    struck: Any


def log_lines(rows: list[Reshoot], request: HttpRequest) -> list[LogLine]:
    """Entries in words. Somebody who has gone to a team that the visitor does not know is not named."""
    kits = {kit.name: kit.title for kit in kits_for(request.user)}
    named = set(people_named_to(request.user).values_list("pk", flat=True))
    return [
        LogLine(
            row,
            cause_words(row.cause),
            kits.get(row.kit, row.kit),
            "" if row.person is None else row.person.name if row.person_id in named else "somebody of another team",
            getattr(row, "struck", None),
        )
        for row in rows
    ]


@login_required
@require_safe
def reshoots_csv(request: HttpRequest) -> HttpResponse:
    """The log of the chosen months that stands, in the columns in which a file can be taken in."""
    choice = Choice.of(request)
    rows = standing().filter(team__in=choice.teams, shot_on__gte=choice.months.first, shot_on__lt=choice.months.end)
    named = set(people_named_to(request.user).values_list("pk", flat=True))
    kits = {kit.name: kit.title for kit in kits_for(request.user)}
    text = written(
        (
            row.shot_on.isoformat(), cause_words(row.cause), str(row.cost),
            row.team.name if row.team else "", row.person.email if row.person and row.person_id in named else "",
            kits.get(row.kit, row.kit), row.place_type, row.words,
        )
        for row in rows.select_related("team", "person").order_by("shot_on", "made_at", "pk")
    )  # fmt: skip
    return file_reply(text, "reshoots.csv")


def file_reply(text: str, name: str) -> HttpResponse:
    """A CSV file to keep, marked as UTF-8 for spreadsheets."""
    return HttpResponse(
        "\ufeff" + text,
        "text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


urlpatterns = [
    path("reshoots/", reshoots, name="reshoots"),
    path("reshoots/reshoots.csv", reshoots_csv, name="reshoots_csv"),
]
