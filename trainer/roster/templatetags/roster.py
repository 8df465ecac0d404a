"""What boards show of this room: appeals that wait for whoever decides."""

from __future__ import annotations

from typing import Any

from django import template

from trainer.people.access import people_decided_by
from trainer.roster.models import Appeal

register = template.Library()


@register.inclusion_tag("roster/parts/waiting_appeals.html", takes_context=True)
def waiting_appeals(context: dict[str, Any]) -> dict[str, Any]:
    """How many appeals wait for the visitor's answer, with the way there; nothing when none does."""
    waiting = Appeal.objects.filter(person__in=people_decided_by(context["user"]), reply__isnull=True)
    return {"count": waiting.count()}
