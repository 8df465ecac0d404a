"""What to practise next: the recipe whose skills were practised least, then went worst; plans and frames take turns."""

from __future__ import annotations

from functools import cache

from scoring.drill import Recipe
from trainer.drills.frames import looked_at
from trainer.drills.models import Attempt
from trainer.library.shelf import floor, recipes
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Record

FIRST_KINDS = ("place", "verdict")
"""The plainest kind on a plan, and the plainest one with a frame: what somebody new gets first of each."""


def what_next(person: Person) -> Recipe | None:
    """The recipe to practise next; None when the shelf is empty.

    Skills without a record come first, then the weaker ones by mean credit, then the less practised ones.
    Among equals a plan follows a frame and a frame a plan, the plainest kind comes first, and few rooms before many.
    """

    @cache
    def rooms(name: str) -> int:
        return sum(len(level.spaces) for level in floor(name).levels)

    known = {record.skill: record for record in own(Record.objects.all(), person)}

    latest = own(Attempt.objects.filter(answer__isnull=False), person).order_by("-answer__received_at").first()
    looked = latest is None or looked_at(latest.kind)

    def need(recipe: Recipe) -> tuple[float, int, bool, bool, int, str]:
        records = [known.get(skill) for skill in recipe.skills]
        weakest = min(0.0 if record is None else record.mean_credit for record in records)
        least = min(0 if record is None else record.n for record in records)
        again = looked_at(recipe.kind) is looked
        plainest = recipe.kind in FIRST_KINDS
        return (-1.0 if least == 0 else weakest, least, again, not plainest, rooms(recipe.floor), recipe.name)

    return min(recipes(), key=need, default=None)


__all__ = ["what_next"]
