"""What the menu of every page needs to know of the visitor: whether to offer the pages of those who lead."""

from __future__ import annotations

from django.http import HttpRequest

from trainer.people.access import DECIDING, LEADING, lasting
from trainer.people.models import Person


def leading(request: HttpRequest) -> dict[str, bool]:
    """``leads``: looks after other people's practice in some team. ``decides``: says who is sent there."""
    visitor = getattr(request, "user", None)
    held: set[str] = set()
    if isinstance(visitor, Person):
        held = set(lasting().filter(person=visitor).values_list("role", flat=True))
    return {"leads": not held.isdisjoint(LEADING), "decides": not held.isdisjoint(DECIDING)}


__all__ = ["leading"]
