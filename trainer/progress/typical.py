"""What a case of a recipe is like before it is drawn: as hard and as easily guessed as the newest one in stock."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from django.db.models import Max

from scoring.drill import Recipe
from trainer.renders.models import Variation


class Typical(NamedTuple):
    """A case that may be expected."""

    difficulty_logit: float
    guess_floor: float


UNKNOWN = Typical(0.0, 0.1)
"""Of a recipe that has no case yet."""


def typical_cases(shelf: Iterable[Recipe]) -> dict[str, Typical]:
    """What to expect of each recipe, by name."""
    names = [recipe.name for recipe in shelf]
    newest = Variation.objects.filter(recipe__in=names).values("recipe").annotate(newest=Max("pk")).values("newest")
    rows = Variation.objects.filter(pk__in=newest).values_list("recipe", "difficulty_logit", "task__guess_floor")
    found = {recipe: Typical(difficulty, float(floor)) for recipe, difficulty, floor in rows}
    return {name: found.get(name, UNKNOWN) for name in names}


__all__ = ["UNKNOWN", "Typical", "typical_cases"]
