"""What pages of other rooms show of this one: appeals that wait, and what is new about the visitor."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from trainer.roster.news import news_of
from trainer.roster.reply import appeals_to

register = template.Library()


@register.inclusion_tag("roster/parts/waiting_appeals.html", takes_context=True)
def waiting_appeals(context: dict[str, Any]) -> dict[str, Any]:
    """How many appeals wait for the visitor's answer, with the way there; nothing when none does."""
    waiting = appeals_to(context["user"]).filter(reply__isnull=True)
    return {"count": waiting.count()}


@register.inclusion_tag("roster/parts/news.html", takes_context=True)
def news_about_me(context: dict[str, Any]) -> dict[str, Any]:
    """What others entered about the visitor of late, with the way to it; nothing when nothing is new."""
    return {"news": news_of(context["user"], timezone.now())}
