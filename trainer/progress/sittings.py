"""On which days a plan is best practised: short sittings spread up to the day by which somebody should be ready.

The last two are three and fourteen days before it; earlier ones, where a plan is long, are apart by a share of the days
that there are. Sources: best gaps of 20-40 % of a one-week and 5-10 % of a one-year goal (Cepeda and others 2008,
abstract); the two last days are derived from that.
"""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

LAST_DAYS = (3, 14)
GAP_SHARE = 0.15
"""Of the days to the goal; 10-20 % is what the source supports for weeks to months."""
CASES_EACH = 8
"""A sitting of about ten minutes."""


def sittings(given_on: date, ready_on: date, cases: int) -> tuple[date, ...]:
    """The days, in order, none before the plan was given; one alone when the goal is too near for two."""
    days = (ready_on - given_on).days
    if days <= LAST_DAYS[0]:
        return (given_on,)
    gap = max(1, round(GAP_SHARE * days))
    back = list(LAST_DAYS)
    while len(back) < ceil(cases / CASES_EACH):
        back.append(back[-1] + gap)
    return tuple(sorted({max(given_on, ready_on - timedelta(days=one)) for one in back}))


def due_by(on: date, days: tuple[date, ...], cases: int) -> int:
    """How many of the cases should be done by the end of a day, when they are spread evenly over the sittings."""
    return ceil(cases * sum(day <= on for day in days) / len(days))


__all__ = ["CASES_EACH", "GAP_SHARE", "LAST_DAYS", "due_by", "sittings"]
