"""`manage.py stock`: see to it that some variations of every recipe are ready."""

from __future__ import annotations

from time import monotonic
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from scoring.kinds import LOOKED_AT
from trainer.library.shelf import basis, recipes
from trainer.renders import stock
from trainer.renders.work import ask_for


class Command(BaseCommand):
    """Make a few variations at once, one of every recipe before a second of any, and queue the rest."""

    help = "Make a few variations of each recipe now, so that nobody waits; the worker makes the rest."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--now", type=int, default=stock.AT_ONCE, help="of each recipe at once (%(default)s)")
        parser.add_argument(
            "--within-s", type=float, default=60.0, help="begin no second one of any recipe after (%(default)s s)"
        )

    def handle(self, *, now: int, within_s: float, **options: Any) -> None:
        until = monotonic() + within_s
        every = [basis(recipe.name) for recipe in recipes()]
        first_of_kind = {made_of.recipe.kind: made_of for made_of in reversed(every)}
        for wanted in range(1, now + 1):
            for made_of in every:
                if made_of.recipe.kind in LOOKED_AT and (
                    wanted > 1 or made_of is not first_of_kind[made_of.recipe.kind]
                ):
                    continue  # frames take longer: one of each kind to begin with
                if stock.count(made_of.address) < wanted and (wanted == 1 or monotonic() < until):
                    self.stdout.write(f"Making variation {wanted} of {made_of.recipe.name} ...")
                    self.stdout.flush()
                    stock.make_ready(made_of, wanted, timezone.now(), at_most=1)
        for made_of in every:
            ready = stock.ready_wanted(made_of.recipe.kind)
            if stock.count(made_of.address) < ready:
                ask_for(made_of.recipe.name, ready)
