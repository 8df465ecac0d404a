"""Pages that take a file of reshoots in: the form, what the file would enter or what is wrong with it."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_safe

from trainer.people.models import Person
from trainer.roster.causes import cause_words, causes
from trainer.roster.entry import EntryError
from trainer.roster.reshoot_choice import led_by, team_of
from trainer.roster.reshoot_file import BYTES_MAX, COLUMNS, NEEDED, ROWS_MAX, Sheet, decoded, read, written
from trainer.roster.reshoot_intake import FIELD, OneTable
from trainer.roster.reshoot_pages import file_reply
from trainer.roster.take_in_reshoots import take_in, taken_in_before

WHAT: dict[str, str] = {
    "day": "the day on which it was shot again, like 2026-03-01",
    "cause": "what it went with, from the list below",
    "cost": "in your money, like 79 or 79.50",
    "team": "name of one of your teams; empty for the one chosen above",
    "who": "e-mail address of the operator who had shot it, or empty",
    "kit": "name of the kit, or empty",
    "place": "type of place, or empty",
    "words": "a few words, or empty",
}
PREVIEWED = 20


@csrf_exempt
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def take_in_file(request: HttpRequest) -> HttpResponse:
    """Choose a file, look at what it would enter, enter all of it or nothing."""
    # The way of taking a file must be set before the form is read, and the token is checked after that.
    request.upload_handlers = [OneTable(request)]
    return _taken_in(request)


@csrf_protect
def _taken_in(request: HttpRequest) -> HttpResponse:
    led = led_by(request)
    if request.method != "POST":
        return _page(request)
    team, by = None, request.user
    assert isinstance(by, Person)
    try:
        team = team_of(request, led)
        text = _text(request)
        sheet = read(text, team, by=by, today=timezone.now().date())
        before = taken_in_before(sheet, team)
        if before is not None:
            rows = f"{before.rows} row{'' if before.rows == 1 else 's'}"
            raise EntryError(
                f"This file was taken in on {before.made_at.day} {before.made_at:%B %Y}: {rows}."
                " Nothing was entered again."
            )
        if "enter" in request.POST and sheet.sound:
            done = take_in(sheet, team, by=by, now=timezone.now())
            messages.success(request, f"Entered: {done.rows} reshoot{'' if done.rows == 1 else 's'}.")
            return redirect("reshoots")
    except EntryError as error:
        return _page(request, problem=str(error), team=team, status=400)
    return _page(request, sheet=sheet, team=team, status=200 if sheet.sound else 400)


def _text(request: HttpRequest) -> str:
    file = request.FILES.get(FIELD)
    if file is not None and not isinstance(file, list):
        return decoded(file.read(BYTES_MAX + 1))
    text = request.POST.get("text", "")
    if not text:
        raise EntryError("Choose a file.")
    return text


def _page(
    request: HttpRequest, *, sheet: Sheet | None = None, team: object = None, problem: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "page": "reshoots", "teams": led_by(request), "team": team, "sheet": sheet, "problem": problem,
        "columns": [(column, WHAT[column], column in NEEDED) for column in COLUMNS], "causes": causes().values(),
        "rows_max": ROWS_MAX, "kb_max": BYTES_MAX // 1024,
        "preview": [(row, cause_words(row.cause)) for row in sheet.rows[:PREVIEWED]] if sheet else [],
        "total": sum((row.cost for row in sheet.rows), start=0) if sheet else 0,
    }  # fmt: skip
    return render(request, "roster/reshoot_import.html", context, status=status)


@login_required
@require_safe
def template(request: HttpRequest) -> HttpResponse:
    """A file with the head alone, to be filled in."""
    led_by(request)
    return file_reply(written(()), "reshoots-template.csv")


urlpatterns = [
    path("reshoots/file/", take_in_file, name="reshoot_import"),
    path("reshoots/template.csv", template, name="reshoot_template"),
]
