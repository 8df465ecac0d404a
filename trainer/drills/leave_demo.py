"""Leave the demo: the invented firms go away with their people, answers and records; a closed name stays behind."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from trainer.drills.erase import erase_many
from trainer.drills.models import Attempt
from trainer.people.models import Firm, Person


@dataclass(frozen=True, slots=True)
class Gone:
    """How much went away, or would."""

    firms: int
    people: int
    attempts: int


def leave_demo(now: datetime, *, pretend: bool = False) -> Gone:
    """Take the invented firms away. Nothing of real firms is touched: whoever also worked for one, from the time before
    nobody could any more, stays.

    A firm of the same name stays, closed and without people, so that the demo is not made again; what it entered of its
    own (kits, standards, rules) stays under it.
    """
    with transaction.atomic():
        firms = list(Firm.objects.filter(invented=True, closed_at=None))
        people = Person.objects.filter(memberships__team__firm__in=firms)
        people = people.exclude(memberships__team__firm__invented=False).distinct()
        gone = Gone(len(firms), people.count(), Attempt.objects.filter(person__in=people).count())
        if pretend or not firms:
            return gone
        erase_many(people, now)
        for firm in firms:
            firm.teams.all().delete()
            closed = Firm.objects.create(name=firm.name, invented=True, made_at=firm.made_at, closed_at=now)
            # Answers and checks of whoever stays may rest on a rule, a standard or a kit that this firm entered.
            firm.editions.update(firm=closed)
            firm.delete()
    return gone


__all__ = ["Gone", "leave_demo"]
