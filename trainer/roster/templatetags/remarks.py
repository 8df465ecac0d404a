"""Remarks on the page of a graded case, for whoever made it and whoever leads them."""

from __future__ import annotations

import uuid
from typing import Any

from django import template

from trainer.people.access import people_led_by
from trainer.roster.assign import remarks_on
from trainer.roster.remark import WORDS_MAX

register = template.Library()


@register.inclusion_tag("roster/parts/remarks.html", takes_context=True)
def remarks(context: dict[str, Any], attempt_id: uuid.UUID) -> dict[str, Any]:
    """What was said about an attempt that the visitor may open, with the form for who leads its person."""
    visitor = context["user"]
    person = people_led_by(visitor).filter(attempts=attempt_id).first()
    return {
        "remarks": remarks_on(attempt_id, visitor),
        "leads_them": person is not None,
        "person": person,
        "attempt_id": attempt_id,
        "key": uuid.uuid4(),
        "words": "",
        "words_max": WORDS_MAX,
        "csrf_token": context.get("csrf_token", ""),
    }
