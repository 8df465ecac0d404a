"""Issue: give a person one stored variation that they have not seen, in an attempt of theirs or of anybody whose grades
they may read, and open an attempt for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from trainer.drills.check_open import open_check_of
from trainer.drills.models import Attempt
from trainer.drills.reading import read_before, unanswered
from trainer.drills.settle import void_fingerprints
from trainer.library.own import kit_in_use, standard_for
from trainer.library.shelf import Basis, NotOnShelf, basis
from trainer.people.models import Person
from trainer.renders import stock
from trainer.renders.work import ask_for


class NotReady(Exception):
    """No variation that this person has not seen is stored yet; one is being made. The message is for people."""


class CheckGoesOn(Exception):
    """A readiness check is open: practice waits, so that nothing like its cases is explained meanwhile."""


@dataclass(frozen=True, slots=True)
class Issued:
    """The attempt, and whether it was opened just now."""

    attempt: Attempt
    fresh: bool


OWN_READY = 2
"""Variations kept ready with somebody's own kit, or by a firm's own standard, beyond those that were seen."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make a case of a recipe; "" is the recipe's own kit and the site's standard."""

    made_of: Basis
    kit: str
    standard: str


def ways_for(person: Person, recipe: str, now: datetime) -> list[Way]:
    """With the kit that the person works with, then with the recipe's own while no such case is ready (or where none
    can be made); always by the standard that the person is graded by that day. Raises NotOnShelf."""
    standard = standard_for(person, now.date())
    plain = Way(basis(recipe, standard_address=standard), "", standard)
    kit = kit_in_use(person)
    if not kit or kit == plain.made_of.kit.name:
        return [plain]
    try:
        return [Way(basis(recipe, kit=kit, standard_address=standard), kit, standard), plain]
    except NotOnShelf:
        return [plain]


def issue(person: Person, recipe: str, mode: str, now: datetime, *, near_logit: float | None = None) -> Issued:
    """Open an attempt at a recipe, or give back the one that is still open: two taps make one attempt.

    Of the cases that are ready it takes the one whose difficulty is nearest to ``near_logit``, where that is given.
    Raises NotOnShelf for an unknown recipe, NotReady when every stored variation was seen, CheckGoesOn for practice
    while a check is open.
    """
    ways = ways_for(person, recipe, now)
    with transaction.atomic():
        # One issue at a time for one person, so that the same variation cannot be drawn twice.
        Person.objects.select_for_update().get(pk=person.pk)
        if mode != Attempt.Mode.CHECK and open_check_of(person) is not None:
            raise CheckGoesOn("A check is open. Finish it or give it up; then practice goes on.")
        still_open = unanswered(person).filter(recipe=recipe, mode=mode).order_by("-issued_at").first()
        if still_open is not None:
            return Issued(still_open, fresh=False)
        seen = read_before(person, recipe) | void_fingerprints(person)
        variation = None
        for way in ways:
            if variation is None:
                variation = stock.next_for(way.made_of.address, seen, near_logit)
                ready = OWN_READY if way.kit or way.standard else stock.ready_wanted(way.made_of.recipe.kind)
                ask_for(recipe, ready + len(seen) + 1, kit=way.kit, standard_address=way.standard)
        attempt = None
        if variation is not None:
            task = stock.task_of(variation)
            attempt = Attempt.objects.create(
                person=person,
                mode=mode,
                kind=task.kind,
                recipe=recipe,
                recipe_hash=task.recipe_hash,
                kit=variation.kit,
                seed=task.seed,
                engine=task.engine,
                standard=task.standard,
                standard_address=ways[0].made_of.standard_address,
                public=task.public,
                key=task.key,
                difficulty_logit=task.difficulty_logit,
                difficulty_sd=task.difficulty_sd,
                guess_floor=task.guess_floor,
                fingerprint=task.fingerprint,
                issued_at=now,
            )
    if attempt is None:
        raise NotReady("A new case is being made. Try again in a moment.")
    return Issued(attempt, fresh=True)


__all__ = ["CheckGoesOn", "Issued", "NotReady", "Way", "issue", "ways_for"]
