"""Count: how many jobs a team shot in a month, so that reshoots can be told per 100 of them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet

from trainer.people.access import teams_led_by
from trainer.people.models import Person, Team
from trainer.roster.entry import EntryError
from trainer.roster.models import JobCount

JOBS_MOST = 100_000


def count_jobs(team: Team, month: date, jobs: int, *, by: Person, now: datetime) -> JobCount:
    """Enter the jobs of a month; a later entry of the month takes its place. Raises PermissionDenied, EntryError."""
    if not teams_led_by(by).filter(pk=team.pk).exists():
        raise PermissionDenied("Only who leads the team counts its jobs.")
    if month.replace(day=1) > now.date().replace(day=1):
        raise EntryError("That month has not begun.")
    if not 0 <= jobs <= JOBS_MOST:
        raise EntryError(f"Give a number of jobs between 0 and {JOBS_MOST}.")
    return JobCount.objects.create(team=team, month=month.replace(day=1), jobs=jobs, by=by, made_at=now)


def jobs_by_month(counts: QuerySet[JobCount]) -> dict[tuple[object, date], int]:
    """Jobs of each (team id, first day of the month): the newest entry of each counts."""
    rows: Iterable[tuple[object, date, int]] = counts.order_by("made_at", "pk").values_list("team_id", "month", "jobs")
    return {(team, month): jobs for team, month, jobs in rows}


def month_of(text: str) -> date:
    """A month as it is typed: 2026-03. Raises EntryError."""
    try:
        return date.fromisoformat(f"{text.strip()}-01")
    except ValueError:
        raise EntryError("Give the month like 2026-03.") from None


__all__ = ["JOBS_MOST", "count_jobs", "jobs_by_month", "month_of"]
