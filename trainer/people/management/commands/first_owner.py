"""`manage.py first_owner`: a code that opens the first page of a real firm, once."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.urls import reverse
from django.utils import timezone

from trainer.people.firm import FOUNDING_DAYS, let_found


class Command(BaseCommand):
    """Print a code; it is kept nowhere."""

    help = "Print a code by which one firm with its first owner is entered, once."

    def handle(self, **options: Any) -> None:
        code = let_found(timezone.now())
        self.stdout.write(f"Open {reverse('new_firm')}?code={code} on the site, within {FOUNDING_DAYS} days.")
        self.stdout.write("It enters one firm with its owner, once. The code is shown here and kept nowhere.")
