"""`manage.py library`: put the files of scenarios/ on the shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from trainer.library.files import ScenarioProblems, read_scenarios
from trainer.library.shelf import entries_of, take_in


class Command(BaseCommand):
    """Take in every scenario file, or none when one of them has a fault."""

    help = "Put the files of scenarios/ on the shelf; older editions are kept for the ledger."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--from", dest="folder", type=Path, default=settings.SCENARIOS, help="the scenarios folder")

    def handle(self, *, folder: Path, **options: Any) -> None:
        try:
            entries = entries_of(read_scenarios(folder))
        except ScenarioProblems as found:
            raise CommandError(str(found)) from None
        fresh = take_in(entries, timezone.now())
        self.stdout.write(f"{len(entries)} editions on the shelf, {fresh} of them new.")
