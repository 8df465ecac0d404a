"""Where a form about a person leads back to: the page that shows what was entered."""

from __future__ import annotations

from django.urls import NoReverseMatch, reverse

from trainer.people.access import Visitor
from trainer.people.models import Person


def page_of(person: Person, visitor: Visitor) -> str:
    """Address of the person's page, or of one's own record."""
    try:
        return f"{reverse('record')}#about" if person == visitor else f"{reverse('person', args=[person.pk])}#about"
    except NoReverseMatch:
        return reverse("shoots", args=[person.pk])


__all__ = ["page_of"]
