"""Variations kept ready: a task is issued only when it is stored with its reference, so nobody waits for one.

    basis + random seed --make--> variation (or an unfit seed, never tried again)

Seeds are drawn at random, because a seed that can be guessed would let the key be computed elsewhere.
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable, Collection
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F
from django.db.models.functions import Abs

from scoring.drill import Task, canonical_json
from scoring.drill import Unfit as UnfitSeed
from scoring.kinds import LOOKED_AT, kind
from scoring.kinds.good_share import tries_of
from scoring.kinds.light_store import lights_kept_in
from trainer.library.shelf import Basis
from trainer.renders import frames
from trainer.renders.models import Unfit, Variation
from trainer.renders.stages import kept_light

log = logging.getLogger(__name__)

READY = 20
"""Variations that the worker keeps ready for whoever has used the most of them ..."""
FRAMES_READY = 6
"""... and of cases that are looked at, which take longer to make."""
AT_ONCE = 2
"""Variations of each recipe that are made at the first set-up, before anybody comes."""
UNFIT_IN_A_ROW = 60
"""After so many unfit tries in a row the recipe is given up on, and said so in the log: so many seeds, or fewer of a
kind that tries each seed again."""

Draw = Callable[[], int]


def ready_wanted(kind_name: str) -> int:
    """How many variations of a recipe of that kind are kept ready."""
    return FRAMES_READY if kind_name in LOOKED_AT else READY


def random_seed() -> int:
    """A seed that nobody can guess: 62 random bits."""
    return secrets.randbits(62)


def make_one(basis: Basis, seed: int, now: datetime) -> Variation | None:
    """Make and store the variation of that seed; None when the seed is unfit, which is stored too."""
    made_of = {"address": basis.address, "seed": seed}
    stored = Variation.objects.filter(**made_of).first()
    if stored is not None or Unfit.objects.filter(**made_of).exists():
        return stored
    try:
        with lights_kept_in(kept_light):
            task = kind(basis.recipe.kind).make(basis.recipe, basis.plan, basis.kit, basis.standard, seed)
    except UnfitSeed as unfit:
        _set_aside(made_of, str(unfit))
        return None
    body = asdict(task)
    canonical_json(body)
    _develop_pictures(task)
    try:
        with transaction.atomic():
            return Variation.objects.create(
                **made_of,
                recipe=basis.recipe.name,
                kit=basis.kit.name,
                task=body,
                difficulty_logit=task.difficulty_logit,
                fingerprint=task.fingerprint,
                made_at=now,
            )
    except IntegrityError:
        # Another worker was first with this seed, or with one that looks the same.
        stored = Variation.objects.filter(**made_of).first()
        if stored is None:
            _set_aside(made_of, "looks like a variation there is")
        return stored


def make_ready(basis: Basis, wanted: int, now: datetime, *, at_most: int, draw: Draw = random_seed) -> int:
    """Make up to ``at_most`` variations while fewer than ``wanted`` are stored; returns how many are missing."""
    unfit_in_a_row = 0
    made = 0
    missing = wanted - count(basis.address)
    while missing > 0 and made < at_most:
        if make_one(basis, draw(), now) is not None:
            made, missing, unfit_in_a_row = made + 1, missing - 1, 0
            continue
        unfit_in_a_row += tries_of(kind(basis.recipe.kind))
        if unfit_in_a_row >= UNFIT_IN_A_ROW:
            log.error("recipe %s: %d unfit tries in a row, %d missing", basis.recipe.name, unfit_in_a_row, missing)
            return 0
    return max(0, missing)


def count(address: str) -> int:
    """How many variations of a basis are stored."""
    return Variation.objects.filter(address=address).count()


def next_for(address: str, seen: Collection[str], near_logit: float | None = None) -> Variation | None:
    """A stored variation that looks like none of those seen (by fingerprint): the one whose difficulty is nearest to
    a wanted one, else the one that is stored longest; None when there is none."""
    unseen = Variation.objects.filter(address=address).exclude(fingerprint__in=seen)
    if near_logit is not None:
        unseen = unseen.annotate(off=Abs(F("difficulty_logit") - near_logit)).order_by("off", "pk")
    else:
        unseen = unseen.order_by("pk")
    return unseen.first()


def task_of(variation: Variation) -> Task:
    """The task as it was made."""
    return Task(**variation.task)


def _develop_pictures(task: Task) -> None:
    """Make the pictures of a case that is looked at, so that nobody waits for the first look or the comparison."""
    takes = task.key.get("takes", {})
    for one in task.public.get("frames", ()):
        frames.develop(takes[one.get("of", one["name"])], one["name"])
    if "clean" in takes:
        frames.develop(takes["clean"], "clean")


def _set_aside(made_of: dict[str, Any], reason: str) -> None:
    Unfit.objects.get_or_create(**made_of, defaults={"reason": reason})


__all__ = [
    "AT_ONCE", "FRAMES_READY", "READY", "count", "make_one", "make_ready", "next_for", "random_seed",
    "ready_wanted", "task_of",
]  # fmt: skip
