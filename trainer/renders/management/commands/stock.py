"""`manage.py stock`: see to it that some variations of every recipe are ready."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from trainer.library.shelf import basis, recipes
from trainer.renders import stock
from trainer.renders.work import ask_for


class Command(BaseCommand):
    """Make a few variations at once, and queue the rest for the worker."""

    help = "Make a few variations of each recipe now, so that nobody waits; the worker makes the rest."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--now", type=int, default=stock.AT_ONCE, help="how many of each recipe to make at once")

    def handle(self, *, now: int, **options: Any) -> None:
        for recipe in recipes():
            made_of = basis(recipe.name)
            before = stock.count(made_of.address)
            stock.make_ready(made_of, now, timezone.now(), at_most=now)
            ready = stock.count(made_of.address)
            if ready > before:
                self.stdout.write(f"{recipe.name}: {ready} variations ready.")
            if ready < stock.READY:
                ask_for(recipe.name, stock.READY)
