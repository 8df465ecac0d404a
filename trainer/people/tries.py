"""How often something may be tried that tells a guesser something: enough for people, too slow for guessing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from allauth.account.adapter import get_adapter
from django.core.cache import cache
from django.http import HttpRequest


@dataclass(frozen=True, slots=True)
class Limit:
    """So many tries of one sort in each stretch of time, for each whose tries are counted."""

    what: str
    most: int
    within_s: int


def address_of(request: HttpRequest) -> str:
    """The visitor's address, by which tries of somebody unknown are counted."""
    return str(get_adapter().get_client_ip(request))


def may_try(limit: Limit, whose: object, now: datetime) -> bool:
    """Count one more try of this stretch of time; False when there were too many."""
    key = _key(limit, whose, now)
    cache.add(key, 0, 2 * limit.within_s)
    try:
        return int(cache.incr(key)) <= limit.most
    except ValueError:
        return True  # It was dropped in between.


def took_back(limit: Limit, whose: object, now: datetime) -> None:
    """A try that was counted at that moment and told nothing counts no more."""
    try:
        cache.decr(_key(limit, whose, now))
    except ValueError:
        return  # It was dropped in between.


def _key(limit: Limit, whose: object, now: datetime) -> str:
    return f"tries/{limit.what}/{whose}/{int(now.timestamp()) // limit.within_s}"


__all__ = ["Limit", "address_of", "may_try", "took_back"]
