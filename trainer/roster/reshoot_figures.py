"""Costs of reshoots by cause over some months, per 100 jobs where jobs were counted, beside the same months a year ago.

A rate counts a month of a team only when its jobs were entered, above and below the line alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from scoring.mastery.costs import CauseCost, Rate, by_cause, rate
from trainer.roster.causes import cause_words
from trainer.roster.count_jobs import jobs_by_month
from trainer.roster.models import JobCount, Reshoot

MONTHS_MOST = 60


@dataclass(frozen=True, slots=True)
class Months:
    """Whole months, by the first day of the first and of the last."""

    first: date
    last: date

    @property
    def end(self) -> date:
        """The first day after them."""
        return month_after(self.last)

    @property
    def year_before(self) -> Months:
        """The same months a year ago."""
        return Months(self.first.replace(year=self.first.year - 1), self.last.replace(year=self.last.year - 1))

    @property
    def count(self) -> int:
        """How many."""
        return 12 * (self.last.year - self.first.year) + self.last.month - self.first.month + 1

    def __contains__(self, day: date) -> bool:
        return self.first <= day < self.end


def month_after(month: date) -> date:
    """The first day of the next month."""
    return month.replace(year=month.year + month.month // 12, month=month.month % 12 + 1)


def twelve_to(today: date) -> Months:
    """The twelve months that end with this one."""
    last = today.replace(day=1)
    return Months(month_after(last).replace(year=month_after(last).year - 1), last)


@dataclass(frozen=True, slots=True)
class Line:
    """One cause as a page tells it."""

    words: str
    cost: CauseCost
    rate: Rate | None
    """None where no jobs were counted."""
    before: int
    """Reshoots of this cause in the same months a year ago."""
    rate_before: Rate | None


@dataclass(frozen=True, slots=True)
class Figures:
    """All causes of some months, and all of them together."""

    months: Months
    lines: tuple[Line, ...]
    whole: Line | None
    """None without any reshoot."""
    jobs: int
    jobs_before: int
    counted_months: int
    """Months of teams with a number of jobs."""
    uncounted: int
    """Reshoots in months without one: they are in the costs and in no rate."""
    scale: float
    """The cost that a bar's full width stands for."""


def figures_of(rows: QuerySet[Reshoot], counts: QuerySet[JobCount], months: Months) -> Figures:
    """The figures of reshoots that stand."""
    jobs = jobs_by_month(counts)
    now, before = _Span(rows, jobs, months), _Span(rows, jobs, months.year_before)
    lines = tuple(_line(one, now, before, one.cause) for one in by_cause(now.pairs))
    whole = None
    if now.pairs:
        (together,) = by_cause(("all", cost) for _, cost in now.pairs)
        whole = _line(together, now, before, None)
    return Figures(
        months=months,
        lines=lines,
        whole=whole,
        jobs=now.jobs,
        jobs_before=before.jobs,
        counted_months=now.counted_months,
        uncounted=len(now.pairs) - len(now.counted),
        scale=max((min(one.cost.total_high, 2.0 * one.cost.total) for one in lines), default=0.0),
    )


class _Span:
    """Reshoots and jobs of some months."""

    def __init__(self, rows: QuerySet[Reshoot], jobs: dict[tuple[object, date], int], months: Months) -> None:
        inside = rows.filter(shot_on__gte=months.first, shot_on__lt=months.end).order_by("pk")
        told = list(inside.values_list("team_id", "shot_on", "cause", "cost"))
        counted = {key: count for key, count in jobs.items() if key[1] in months}
        self.pairs = [(cause, float(cost)) for _, _, cause, cost in told]
        self.counted = [cause for team, day, cause, _ in told if (team, day.replace(day=1)) in counted]
        self.jobs, self.counted_months = sum(counted.values()), len(counted)

    def number(self, cause: str | None) -> int:
        return len(self.pairs) if cause is None else sum(one == cause for one, _ in self.pairs)

    def rate(self, cause: str | None) -> Rate | None:
        return rate(len(self.counted) if cause is None else self.counted.count(cause), self.jobs)


def _line(cost: CauseCost, now: _Span, before: _Span, cause: str | None) -> Line:
    words = "All together" if cause is None else cause_words(cause)
    return Line(words, cost, now.rate(cause), before.number(cause), before.rate(cause))


__all__ = ["MONTHS_MOST", "Figures", "Line", "Months", "figures_of", "month_after", "twelve_to"]
