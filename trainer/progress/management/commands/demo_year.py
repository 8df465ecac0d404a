"""`manage.py demo_year`: a year of the invented firm, by the worker or at once."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from trainer.progress.demo.work import ask_for_year
from trainer.progress.demo.year import make_year


class Command(BaseCommand):
    """Fill the invented firm's boards. Never in production."""

    help = "Have the worker make a year of the invented firm, once cases are in stock (only with LEVELHEAD_DEMO=1)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--now", action="store_true", help="make it at once, from the cases that are in stock")

    def handle(self, *, now: bool, **options: Any) -> None:
        if settings.PRODUCTION or not settings.DEMO:
            raise CommandError("The demo is made only with LEVELHEAD_DEMO=1, and never in production.")
        if now:
            self.stdout.write(f"{make_year(timezone.now())} answers of an invented year.")
        elif ask_for_year():
            self.stdout.write("The worker makes a year of the invented firm, once cases of every drill are in stock.")
