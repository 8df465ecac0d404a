"""How often codes may be tried from one address: enough for people, too slow for guessing."""

from __future__ import annotations

from datetime import datetime

from allauth.account.adapter import get_adapter
from django.core.cache import cache
from django.http import HttpRequest

TRIES_A_MINUTE = 20
KEPT_S = 120


def may_try(request: HttpRequest, now: datetime) -> bool:
    """Count one more try of this minute from the visitor's address; False when there were too many."""
    key = f"codes-tried/{get_adapter().get_client_ip(request)}/{int(now.timestamp()) // 60}"
    cache.add(key, 0, KEPT_S)
    try:
        return int(cache.incr(key)) <= TRIES_A_MINUTE
    except ValueError:
        return True  # It was dropped in between.


__all__ = ["TRIES_A_MINUTE", "may_try"]
