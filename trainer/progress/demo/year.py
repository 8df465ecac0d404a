"""Make the invented firm's year, once: in one transaction, so that nobody ever sees half of it."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime, timedelta
from random import Random
from time import monotonic

from django.db import transaction

from trainer.people.access import operators_of
from trainer.people.models import Person, Team
from trainer.progress.catch_up import catch_up
from trainer.progress.demo import doings
from trainer.progress.demo.answered import answered, store
from trainer.progress.demo.cast import cast, firm_of_demo, is_cast, settle
from trainer.progress.demo.lives import YEAR_DAYS, Life, lives
from trainer.progress.demo.pool import Case, pool
from trainer.progress.renew import fresh
from trainer.progress.standing import standard_set

SEED = 20_260_301
LEADING = timedelta(days=YEAR_DAYS + 35)
"""So long ago those who lead came."""
FIRST_STAYS_NEW = "mate@levelhead.example"
"""Whoever signs in with this address comes to the site for the first time."""

log = logging.getLogger(__name__)


def make_year(now: datetime, seed: int = SEED) -> int:
    """Make it, folded and told; returns how many answers there are, 0 where there is nothing to be made."""
    begun = monotonic()
    count = write_year(now, seed)
    if count:
        catch_up()
        fresh(operators_of(Team.objects.filter(firm=firm_of_demo())), now.date())
        log.info("a year of %d answers in %.0f s", count, monotonic() - begun)
    return count


def write_year(now: datetime, seed: int, cases: Sequence[Case] | None = None) -> int:
    """Its rows alone; returns how many answers, 0 where there is no such firm, no case, or the year is there.

    ``cases`` are those that everybody gets; by default those of the pool.
    """
    firm = firm_of_demo()
    if firm is None or is_cast(firm):
        return 0
    rng = Random(seed)  # noqa: S311 - nothing secret is drawn
    cases = pool(rng) if cases is None else cases
    if not cases:
        return 0
    with transaction.atomic():
        crews = cast(firm, rng, now.replace(hour=6, minute=0, second=0, microsecond=0))
        operators = [person for crew in crews for person in crew.operators]
        drawn = lives(len(operators), standard_set().skills, rng, now)
        those = {person: _as_wanted(person, life, rng, now) for person, life in zip(operators, drawn, strict=True)}
        settle(crews, {person: min(life.days, default=now) for person, life in those.items()}, now - LEADING)
        doings.kits(crews, rng, now)
        count = store(answered(list(those.items()), cases, rng), rng)
        doings.shoots(crews, those, rng, now)
        doings.decisions(crews, those, now)
        doings.refresher(crews[0], those, now)
        doings.reshoots(firm, crews, rng, now)
        doings.flags(crews, rng, now)
    return count


def _as_wanted(person: Person, life: Life, rng: Random, now: datetime) -> Life:
    """The people who can sign in have a life that shows something: a steady one, or none yet."""
    if person.email == FIRST_STAYS_NEW:
        return Life("untried", life.level, life.apart, (), 0)
    if person.email.endswith("@levelhead.example"):
        other = life
        while other.sort != "steady":
            other = lives(1, list(life.apart), rng, now)[0]
        return other
    return life


__all__ = ["SEED", "make_year", "write_year"]
