"""Quality of the recipes by the answers of the people whom a visitor leads: what is worth looking at again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median
from typing import Any

import numpy as np
from django.db.models import Avg, Count, QuerySet

from scoring.mastery.calibration import RIGHT_FROM
from scoring.mastery.quality import Flag, Quality, flags, qualities, variant_spread
from trainer.drills.models import Attempt
from trainer.drills.reading import explained
from trainer.library.shelf import recipes
from trainer.people.models import Person
from trainer.progress.counts import TIMES, seconds_taken

LOOK_BACK_DAYS = 365
TIMED = 2000
"""So many of the newest answers are timed."""


@dataclass(frozen=True, slots=True)
class CaseLine:
    """One recipe on the board."""

    recipe: str
    title: str
    kind: str
    answers: int
    quality: Quality
    variants: int
    spread_logit: float | None
    seconds: float | None
    """Median time from issue to answer, of the newest answers."""
    flags: tuple[Flag, ...]


def cases_of(people: QuerySet[Person], now: datetime) -> tuple[CaseLine, ...]:
    """Every recipe that these people answered in the last year, what is flagged first, then the hardest."""
    rows = explained(Attempt.objects.filter(person__in=people, void__isnull=True))
    rows = rows.filter(answer__received_at__gte=now - timedelta(days=LOOK_BACK_DAYS))
    means = list(rows.order_by().values_list("person_id", "recipe").annotate(Avg("answer__grade__credit")))
    if not means:
        return ()
    names = sorted({recipe for _, recipe, _ in means})
    place = {person: index for index, person in enumerate(sorted({person for person, _, _ in means}))}
    table = np.full((len(place), len(names)), np.nan)
    for person, recipe, mean in means:
        table[place[person], names.index(recipe)] = mean
    variants = _variants(rows)
    seconds, titles = _seconds(rows), {recipe.name: recipe for recipe in recipes()}
    lines = []
    for name, quality in zip(names, qualities(table, well_from=RIGHT_FROM), strict=True):
        spread, known = variant_spread(variants[name]), titles.get(name)
        lines.append(
            CaseLine(
                recipe=name,
                title=known.title if known is not None else name,
                kind=known.kind if known is not None else "",
                answers=sum(n for n, _ in variants[name].values()),
                quality=quality,
                variants=len(variants[name]),
                spread_logit=spread,
                seconds=seconds.get(name),
                flags=flags(quality, spread, seconds.get(name)),
            )
        )
    return tuple(sorted(lines, key=lambda line: (not line.flags, line.quality.share, line.recipe)))


def _variants(rows: QuerySet[Attempt]) -> dict[str, dict[str, tuple[int, float]]]:
    """{recipe: {variant: (answers, mean credit)}}."""
    out: dict[str, dict[str, tuple[int, float]]] = {}
    counted = rows.order_by().values_list("recipe", "fingerprint")
    for recipe, variant, count, mean in counted.annotate(Count("pk"), Avg("answer__grade__credit")):
        out.setdefault(recipe, {})[variant] = (count, mean)
    return out


def _seconds(rows: QuerySet[Attempt]) -> dict[str, float]:
    taken: dict[str, list[float]] = {}
    for recipe, *times in rows.order_by("-answer__received_at").values_list("recipe", *TIMES)[:TIMED]:
        seconds = seconds_taken(*times)
        if seconds is not None:
            taken.setdefault(recipe, []).append(seconds)
    return {recipe: median(times) for recipe, times in taken.items()}


def case_rows(lines: Iterable[CaseLine]) -> Iterable[list[Any]]:
    """The same as CSV."""
    yield [
        "recipe", "title", "kind", "people", "answers", "mean credit", "slope", "difficulty (logit)", "item-rest",
        "variants", "variants differ by (logit)", "median seconds", "look at",
    ]  # fmt: skip
    for line in lines:
        quality = line.quality
        yield [
            line.recipe, line.title, line.kind, quality.people, line.answers, _two(quality.share), _two(quality.slope),
            _two(quality.difficulty_logit), _two(quality.rest), line.variants, _two(line.spread_logit),
            "" if line.seconds is None else round(line.seconds), "; ".join(line.flags),
        ]  # fmt: skip


def _two(value: float | None) -> Any:
    return "" if value is None else round(value, 2)


__all__ = ["CaseLine", "case_rows", "cases_of"]
