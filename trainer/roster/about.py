"""What was entered and decided about one person, and what the visitor may enter: a part of the person's page.

    about = about_person(visitor, person, now)
    {% include "roster/parts/about_person.html" with about=about state=now.state %}

The person sees the same of oneself, with the way to appeal in place of the forms of those who lead. ``state`` is the
word that the page shows; an appeal names it.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import PermissionDenied

from trainer.library.own import kit_in_use, kits_for
from trainer.library.shelf import recipes
from trainer.library.skills import skill_name
from trainer.people.access import (
    Visitor,
    entered_for,
    people_decided_by,
    people_followed_by,
    people_led_by,
    people_trained_by,
)
from trainer.people.models import Person
from trainer.roster.assign import open_assignments
from trainer.roster.decide import in_force, open_choices, told
from trainer.roster.kit_parts import skills_due
from trainer.roster.models import Appeal, Assignment, Decision, KitChange, ObservedShoot, Remark, Reply
from trainer.roster.reply import appeals_to

NEWEST = 5
"""So many rows of a kind are shown; the others are behind a line."""


@dataclass(frozen=True, slots=True)
class Decided:
    """One decision as a line."""

    row: Decision
    words: str
    """What was decided: "held", "released", "may be sent until ..."."""
    stands: bool


@dataclass(frozen=True, slots=True)
class Appealed:
    """One appeal with its answer."""

    row: Appeal
    reply: Reply | None
    may_reply: bool


@dataclass(frozen=True, slots=True)
class Changed:
    """One change of kit."""

    row: KitChange
    title: str
    skills: str
    """Names of the starred skills that became due; empty for a first kit."""
    checked_by: str
    """Who signed the list of the changed parts; empty while it is open or where nothing changed."""
    checked_on: date | None
    may_check: bool


@dataclass(frozen=True, slots=True)
class Given:
    """One drill that was given and not withdrawn."""

    row: Assignment
    title: str
    done: int
    """Cases of it that are graded."""
    late: bool
    """Its day is gone and something is left."""

    @property
    def over(self) -> bool:
        """Whether all of it is done."""
        return self.done >= self.row.count


@dataclass(frozen=True, slots=True)
class AboutPerson:
    """All of it, for one visitor."""

    person: Person
    own: bool
    """The visitor looks at oneself."""
    shoots: tuple[ObservedShoot, ...]
    """Those that stand, newest first, at most NEWEST."""
    shoot_count: int
    """All that were entered, those taken back too."""
    decisions: tuple[Decided, ...]
    """Newest first, all of them: a reason is kept."""
    standing: Decided | None
    """The hold or the send that stands today."""
    appeals: tuple[Appealed, ...]
    waiting: Appealed | None
    """The appeal that nobody has answered."""
    kit: str
    """Title of the kit in use; empty when none was given."""
    changes: tuple[Changed, ...]
    given: tuple[Given, ...]
    remarks: tuple[Remark, ...]
    """Newest first, at most NEWEST."""
    may_decide: bool
    may_lead: bool
    may_train: bool
    choices: tuple[str, ...]
    """What may be decided next: "hold", "release", "send"."""
    seen: str
    """Id of the newest decision, for the form; empty for none."""
    key: uuid.UUID
    """For the form of a decision or an appeal, so that sending twice counts once."""

    @property
    def past(self) -> tuple[Decided, ...]:
        """The decisions but the one that stands."""
        return tuple(one for one in self.decisions if not one.stands)


def about_person(
    visitor: Visitor, person: Person, now: datetime, done: Mapping[uuid.UUID, int] | None = None
) -> AboutPerson:
    """What was entered about a person, and what the visitor may enter. Raises PermissionDenied for a stranger.

    ``done`` says how many cases of each drill given are graded; it is counted where the ledger is read.
    """
    if not people_followed_by(visitor).filter(pk=person.pk).exists():
        raise PermissionDenied("Nothing about this person is seen by this visitor.")
    today = now.date()
    may_decide = people_decided_by(visitor).filter(pk=person.pk).exists()
    may_train = people_trained_by(visitor).filter(pk=person.pk).exists()
    decisions = _decisions(person, visitor, today)
    appeals = _appeals(person, visitor)
    shoots = entered_for(ObservedShoot.objects.filter(person=person), visitor).select_related("by")
    shoots = shoots.order_by("-shot_on", "-made_at")
    remarks = entered_for(Remark.objects.filter(person=person), visitor).select_related("by")
    standing = next((one for one in decisions if one.stands), None)
    titles = {kit.name: kit.title for kit in kits_for(visitor)}
    kit = kit_in_use(person)
    return AboutPerson(
        person=person,
        own=visitor == person,
        shoots=tuple(shoots.filter(struck__isnull=True)[:NEWEST]),
        shoot_count=shoots.count(),
        decisions=decisions,
        standing=standing,
        appeals=appeals,
        waiting=next((one for one in appeals if one.reply is None), None),
        kit=titles.get(kit, ""),
        changes=_changes(person, visitor, titles, may_train),
        given=_given(person, visitor, done or {}, today),
        remarks=tuple(remarks.order_by("-made_at", "pk")[:NEWEST]),
        may_decide=may_decide,
        may_lead=people_led_by(visitor).filter(pk=person.pk).exists(),
        may_train=may_train,
        choices=tuple(str(what) for what in open_choices(standing.row if standing else None)),
        seen=str(decisions[0].row.pk) if decisions else "",
        key=uuid.uuid4(),
    )


def _decisions(person: Person, visitor: Visitor, today: date) -> tuple[Decided, ...]:
    standing = in_force(person, visitor, today)
    rows = entered_for(Decision.objects.filter(person=person), visitor).select_related("by")
    return tuple(Decided(row, told(row), row == standing) for row in rows.order_by("-made_at", "-pk"))


def _appeals(person: Person, visitor: Visitor) -> tuple[Appealed, ...]:
    rows = entered_for(Appeal.objects.filter(person=person), visitor).select_related("reply__by")
    mine = set(appeals_to(visitor).filter(person=person).values_list("pk", flat=True))
    out = []
    for row in rows.order_by("-made_at", "-pk"):
        reply = getattr(row, "reply", None)
        out.append(Appealed(row, reply, row.pk in mine and reply is None))
    return tuple(out)


def _changes(person: Person, visitor: Visitor, titles: dict[str, str], may_train: bool) -> tuple[Changed, ...]:
    rows = entered_for(KitChange.objects.filter(person=person), visitor).select_related("by", "check_list__by")
    out = []
    for row in rows.order_by("-made_at", "-pk"):
        check = getattr(row, "check_list", None)
        out.append(
            Changed(
                row,
                titles.get(row.kit, row.kit),
                ", ".join(skill_name(code) for code in skills_due(row.parts)),
                (check.by.name if check.by else "somebody who has left") if check else "",
                check.made_at.date() if check else None,
                may_train and bool(row.parts) and check is None,
            )
        )
    return tuple(out)


def _given(person: Person, visitor: Visitor, done: Mapping[uuid.UUID, int], today: date) -> tuple[Given, ...]:
    rows = list(entered_for(open_assignments(person), visitor))
    titles = {recipe.name: recipe.title for recipe in recipes()} if rows else {}
    out = []
    for row in rows:
        left = row.count - done.get(row.pk, 0)
        late = left > 0 and row.due_on is not None and row.due_on < today
        out.append(Given(row, titles.get(row.recipe, row.recipe), row.count - left, late))
    return tuple(sorted(out, key=lambda one: one.done >= one.row.count))


__all__ = ["AboutPerson", "Appealed", "Changed", "Decided", "Given", "about_person"]
