"""The firm's readiness rule: its numbers, whose state another rule would change, and from which day it holds.

Who leads a team may read it; an owner of the firm may change it. Records that were given keep the rule they name.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import F
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from scoring.border import FileProblems, Problem
from scoring.mastery.readiness import Rule, State
from trainer.library.fields import Row, body_of, holding_from, rows_of
from trainer.library.rules import checked_rule, enter_rule, rule_of_firm, rules_of
from trainer.library.skills import skill_name
from trainer.people.access import Visitor, firms_led_by, firms_of_people, firms_owned_by, operators_of
from trainer.people.models import Firm, Person
from trainer.people.one_firm import one_firm
from trainer.progress.history import Told, fold, sinking_days, state_on
from trainer.progress.life import ground, life_of
from trainer.progress.standings import now_of_many

LOOKED_AT = 200
"""At most so many operators are told again for a preview: some hundredths of a second each."""
LABELS = {
    "cut_points": "Expected score asked for, of 100",
    "ready_chance": "Ready from this chance (0.9 is 90\u00a0%)",
    "due_chance": "Due below this chance",
    "lapsed_chance": "Lapsed below this chance",
    "not_ready_chance": "A critical skill (★) is not ready at this chance or less",
    "star_count": "Graded cases on each critical skill",
    "star_newest_days": "The newest of them at most so many days old",
    "false_alarms_of": "Good frames looked at",
    "false_alarms_most": "Of these, redone at most",
    "conduct_newest": "Newest cases of each skill of conduct with full credit",
    "idle_due_days": "Due after so many days without a case",
    "idle_lapsed_days": "Lapsed after so many days without a case",
    "observed_shoot": "A signed shoot is asked for",
    "kit_list": "After a change of kit its list has to be signed",
    "check_least": "Cases of a readiness check, at least",
    "check_most": "Cases of a readiness check, at most",
}


@dataclass(frozen=True, slots=True)
class Moved:
    """Somebody whose state would be another one."""

    name: str
    now: State
    then: State


@dataclass(frozen=True, slots=True)
class Preview:
    """What another rule would do today."""

    moved: list[Moved]
    people: int
    """Operators who were looked at."""
    of: int
    """Operators whom the firm has."""
    ready_now: int
    ready_then: int


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def readiness_rule(request: HttpRequest) -> HttpResponse:
    """The numbers in force, those to come, and a form to change them with its preview."""
    which = one_firm(request, firms_led_by(request.user), firms_owned_by(request.user))
    firm, owner = which.firm, which.decides
    now = timezone.now()
    rule = rule_of_firm(firm, now.date())
    body: dict[str, Any] = asdict(rule)
    problems: tuple[Problem, ...] = ()
    preview, day = None, request.POST.get("holds_from", "")
    if request.method == "POST":
        if not owner:
            raise Http404("Only an owner changes the rule.")
        body = body_of(Rule, request.POST.dict(), body)
        try:
            wanted = checked_rule(body)
            if "keep" in request.POST:
                holds_from = holding_from(day)
                enter_rule(firm, body, holds_from=holds_from, by=request.user, now=now)  # type: ignore[arg-type]
                messages.success(request, f"Kept: this rule holds from {holds_from.day} {holds_from:%B %Y}.")
                return redirect(f"{reverse('readiness_rule')}?firm={firm.pk}")
            preview = preview_of(firm, wanted, now, request.user)
        except FileProblems as wrong:
            problems = wrong.problems
        except ValueError as wrong:
            problems = (Problem("holds_from", str(wrong)),)
    context = {
        "page": "settings", "firm": firm, "other_firms": which.others, "owner": owner, "rule": rule,
        "rows": _rows(body, problems),
        "problems": [one for one in problems if one.where not in LABELS], "preview": preview, "day": day,
        "editions": rules_of(firm), "today": now.date(),
        "conduct": [skill_name(star.code) for star in ground(rule).drilled if star.conduct],
    }  # fmt: skip
    return render(request, "progress/rule.html", context, status=400 if problems else 200)


def preview_of(firm: Firm, wanted: Rule, now: datetime, visitor: Visitor) -> Preview:
    """Tell the firm's operators by another rule as if it had always held, and compare. Nothing is kept.

    A hold by a named person stays a hold under any rule, so those whom the firm holds are left out; so are those who
    work for an older firm too, whose rule they go by.
    """
    people = operators_of(firm.teams.all())
    of = people.count()
    newest = people.order_by(F("standing__day").desc(nulls_last=True), "pk").values_list("pk", flat=True)
    firms = firms_of_people(people)
    judged = [one for one in newest if firms[one] == firm.pk][:LOOKED_AT]
    told = now_of_many(Person.objects.filter(pk__in=judged), now, visitor)
    on, moved, ready = ground(wanted), [], 0
    free = [one for one in told if one.state != "held"]
    for one in free:
        history = fold(life_of(one.person_id), on)
        then: Told = state_on(history.told, *sinking_days(history), now.date())
        ready += then.state == "ready"
        if then.state != one.state:
            moved.append(Moved(one.name, one.state, then.state))
    return Preview(moved, len(free), of, sum(one.state == "ready" for one in free), ready)


def _rows(body: dict[str, Any], problems: tuple[Problem, ...]) -> list[Row]:
    return [replace(row, label=LABELS[row.path], unit="", words="") for row in rows_of(Rule, body, problems)]


urlpatterns = [path("readiness-rule/", readiness_rule, name="readiness_rule")]
