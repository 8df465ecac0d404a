"""Where a form about a person leads back to: the page that shows what was entered."""

from __future__ import annotations

from django.urls import reverse

from trainer.people.access import Visitor
from trainer.people.models import Person


def page_of(person: Person, visitor: Visitor) -> str:
    """Address of the person's page, or of one's own record."""
    page = reverse("record") if person == visitor else reverse("person", args=[person.pk])
    return f"{page}#about"


__all__ = ["page_of"]
