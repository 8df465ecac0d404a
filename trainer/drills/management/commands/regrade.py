"""`manage.py regrade --check`: compute every grade of the ledger again and say where it comes out differently."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from trainer.drills.regrade import differences


class Command(BaseCommand):
    """List every difference over the tolerance; exit code 1 when there is any. The ledger is left as it is."""

    help = "Compute the whole ledger again from the stored tasks and answers; list every difference over 1e-6."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--check", action="store_true", required=True, help="compare and report; change nothing")

    def handle(self, **options: Any) -> None:
        grades = differing = 0
        for attempt_id, found in differences():
            grades += 1
            differing += bool(found)
            for line in found:
                self.stdout.write(f"{attempt_id} {line}")
        self.stdout.write(f"{grades} grades computed again, {differing} of them differ.")
        if differing:
            sys.exit(1)
