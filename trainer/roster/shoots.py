"""Pages of observed shoots: whom one trains, the phone form, the list of a person's shoots, striking one."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from trainer.library.skills import skill_map, skill_name
from trainer.people.access import entered_for, people_followed_by, people_trained_by
from trainer.people.models import Person
from trainer.people.offline import kept_offline
from trainer.roster.entry import EntryError, KeyTaken, key_of
from trainer.roster.models import ObservedShoot
from trainer.roster.sign import WORDS_MAX, sign, starred
from trainer.roster.strike import REASON_MAX, strike

FIELD = "seen-"


@dataclass(frozen=True, slots=True)
class Line:
    """One starred skill on the form: what to look for, and what was chosen."""

    code: str
    name: str
    words: str
    chosen: str


@login_required
@require_safe
@kept_offline
def whom(request: HttpRequest) -> HttpResponse:
    """The operators one trains, to choose whose shoot is watched."""
    people = people_trained_by(request.user)
    if not people.exists():
        raise Http404("Nobody is trained by this visitor.")
    return render(request, "roster/whom.html", {"page": "trainer", "people": people.order_by("name", "pk")})


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
@kept_offline
def observe(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """The form of a watched shoot; it holds nothing of the person but the name, so a phone may keep it."""
    person = get_object_or_404(people_trained_by(request.user), pk=person_id)
    if request.method == "POST":
        return _enter(request, person)
    return _form(request, person)


def _form(request: HttpRequest, person: Person, problem: str = "", status: int = 200) -> HttpResponse:
    posted = request.POST
    context = {
        "page": "trainer",
        "person": person,
        "lines": _lines(posted),
        "choices": [str(value) for value in ObservedShoot.Seen.values],
        "shot_on": posted.get("shot_on") or timezone.now().date().isoformat(),
        "posted": posted,
        "problem": problem,
        "key": posted.get("key") or uuid.uuid4(),
        "words_max": WORDS_MAX,
    }
    return render(request, "roster/observe.html", context, status=status)


def _lines(posted: Mapping[str, str]) -> list[Line]:
    found = skill_map()
    return [Line(code, skill_name(code), found[code]["words"], posted.get(FIELD + code, "")) for code in starred()]


def _enter(request: HttpRequest, person: Person) -> HttpResponse:
    seen = {code: request.POST[FIELD + code] for code in starred() if FIELD + code in request.POST}
    try:
        try:
            shot_on = date.fromisoformat(request.POST.get("shot_on", ""))
        except ValueError:
            raise EntryError("Give the day of the shoot.") from None
        signed = {"yes": True, "no": False}.get(request.POST.get("signed", ""))
        if signed is None:
            raise EntryError("Say whether you sign.")
        sign(
            person,
            by=request.user,  # type: ignore[arg-type]
            key=key_of(request.POST.get("key")),
            shot_on=shot_on,
            seen=seen,
            signed=signed,
            words=request.POST.get("words", ""),
            now=timezone.now(),
        )
    except (EntryError, KeyTaken) as error:
        return _form(request, person, str(error), 400)
    messages.success(request, "Saved.")
    return redirect("shoots", person_id=person.pk)


@login_required
@require_safe
def shoots(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """The observed shoots of a person, newest first: for the person and whoever leads them."""
    person = get_object_or_404(people_followed_by(request.user), pk=person_id)
    rows = entered_for(ObservedShoot.objects.filter(person=person), request.user).select_related("by", "struck__by")
    context = {
        "page": "record" if person == request.user else "trainer",
        "person": person,
        "shoots": [(row, _by_what(row)) for row in rows.order_by("-shot_on", "-made_at")],
        "trains": people_trained_by(request.user).filter(pk=person.pk).exists(),
        "reason_max": REASON_MAX,
    }
    return render(request, "roster/shoots.html", context)


def _by_what(shoot: ObservedShoot) -> list[tuple[str, str]]:
    """What was seen, gathered: [("done", "Level it, ...")]."""
    gathered = (
        (str(what), ", ".join(skill_name(code) for code, seen in shoot.seen.items() if seen == what))
        for what in ObservedShoot.Seen.values
    )
    return [(what, names) for what, names in gathered if names]


@login_required
@require_POST
def strike_shoot(request: HttpRequest, shoot_id: uuid.UUID) -> HttpResponse:
    """Take a shoot back, with the reason."""
    mine = entered_for(ObservedShoot.objects.filter(person__in=people_trained_by(request.user)), request.user)
    shoot: ObservedShoot = get_object_or_404(mine, pk=shoot_id)
    back, typed = reverse("shoots", args=[shoot.person_id]), request.POST.get("reason", "")
    try:
        strike(shoot, by=request.user, reason=typed, now=timezone.now())  # type: ignore[arg-type]
    except EntryError as error:
        context = {
            "page": "trainer", "what": f"the shoot of {shoot.shot_on:%-d %B %Y}", "problem": str(error), "typed": typed,
            "address": request.path, "back": back, "reason_max": REASON_MAX,
        }  # fmt: skip
        return render(request, "roster/strike.html", context, status=400)
    messages.success(request, "Taken back. It counts no more, and the list says why.")
    return redirect(back)


urlpatterns = [
    path("observe/", whom, name="observe_whom"),
    path("observe/<uuid:person_id>/", observe, name="observe"),
    path("observed/<uuid:person_id>/", shoots, name="shoots"),
    path("observed/<uuid:shoot_id>/strike/", strike_shoot, name="strike"),
]
