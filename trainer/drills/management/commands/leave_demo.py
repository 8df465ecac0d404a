"""`manage.py leave_demo`: take the invented firms away, with their people, answers and records."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from trainer.drills.leave_demo import leave_demo


class Command(BaseCommand):
    """Say what would go away; do it with --yes."""

    help = "Take the invented firms away, with their people, answers and records. Real firms stay as they are."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--yes", action="store_true", help="do it; without this it only says what would go")

    def handle(self, *, yes: bool, **options: Any) -> None:
        gone = leave_demo(timezone.now(), pretend=not yes)
        what = f"{gone.firms} invented firm(s), {gone.people} people, {gone.attempts} attempts"
        self.stdout.write(f"Gone: {what}." if yes else f"Would go: {what}. Run it with --yes to do it.")
