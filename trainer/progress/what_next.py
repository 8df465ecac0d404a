"""What to practise next: the recipe whose skills were practised least, then went worst; small places first."""

from __future__ import annotations

from functools import cache

from scoring.drill import Recipe
from trainer.library.shelf import floor, recipes
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Record

FIRST_KIND = "place"


def what_next(person: Person) -> Recipe | None:
    """The recipe to practise next; None when the shelf is empty.

    Skills without a record come first, then the weaker ones by mean credit, then the less practised ones.
    Among equals an empty plan comes before what others have placed, and few rooms before many.
    """

    @cache
    def rooms(name: str) -> int:
        return sum(len(level.spaces) for level in floor(name).levels)

    known = {record.skill: record for record in own(Record.objects.all(), person)}

    def need(recipe: Recipe) -> tuple[float, int, bool, int, str]:
        records = [known.get(skill) for skill in recipe.skills]
        weakest = min(0.0 if record is None else record.mean_credit for record in records)
        least = min(0 if record is None else record.n for record in records)
        return (-1.0 if least == 0 else weakest, least, recipe.kind != FIRST_KIND, rooms(recipe.floor), recipe.name)

    return min(recipes(), key=need, default=None)


__all__ = ["what_next"]
