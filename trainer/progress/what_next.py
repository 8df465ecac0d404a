"""What to practise next: the recipe whose skills were practised least, then went worst."""

from __future__ import annotations

from scoring.drill import Recipe
from trainer.library.shelf import recipes
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Record


def what_next(person: Person) -> Recipe | None:
    """The recipe to practise next; None when the shelf is empty.

    Skills without a record come first, then the weaker ones by mean credit, then the less practised ones.
    """
    known = {record.skill: record for record in own(Record.objects.all(), person)}

    def need(recipe: Recipe) -> tuple[float, int, str]:
        records = [known.get(skill) for skill in recipe.skills]
        weakest = min(0.0 if record is None else record.mean_credit for record in records)
        least = min(0 if record is None else record.n for record in records)
        return (-1.0 if least == 0 else weakest, least, recipe.name)

    return min(recipes(), key=need, default=None)


__all__ = ["what_next"]
