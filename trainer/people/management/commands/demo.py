"""`manage.py demo`: an invented firm to try the site with."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from trainer.people.invented import FIRM, make_demo
from trainer.people.models import Firm


class Command(BaseCommand):
    """Make the invented firm, and print how to sign in. Never in production."""

    help = "Make an invented firm with every role and print its sign-in (only with LEVELHEAD_DEMO=1)."

    def handle(self, **options: Any) -> None:
        if settings.PRODUCTION or not settings.DEMO:
            raise CommandError("The demo is made only with LEVELHEAD_DEMO=1, and never in production.")
        if Firm.objects.filter(name=FIRM, invented=True, closed_at__isnull=False).exists():
            self.stdout.write("The demo was left; it is not made again.")
            return
        sign_in = make_demo(Path(settings.VAR) / "demo_sign_in")
        self.stdout.write("Sign in as one of these invented people:")
        for address in sign_in.addresses:
            self.stdout.write(f"    {address}")
        self.stdout.write(f"    password  {sign_in.password}")
