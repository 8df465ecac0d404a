"""`manage.py measure`: look at a frame's file, in the same child process as the site."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.border import FileProblems
from trainer.library.desk import standard_at
from trainer.looks.measuring import NotMeasured, measure
from trainer.looks.words import notes, refusal, rows


class Command(BaseCommand):
    """Print what one finished frame tells about itself, in words or as JSON. Touches no database, keeps nothing."""

    help = "Measure an equirectangular JPEG, PNG or WebP file: tilt, seams, sectors, sharpness, veil, clipping, GPano."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--headings", type=int, choices=range(2, 13), metavar="N", help="headings of the spin")
        parser.add_argument("--standard", default="house", help="name in scenarios/standards, or a path (%(default)s)")
        parser.add_argument("--json", action="store_true", help="print every number with the geometry it was found at")

    def handle(self, *, file: Path, headings: int | None, standard: str, **options: Any) -> None:
        try:
            bands = standard_at(standard).frames
            with file.open("rb") as opened:
                found = measure(opened, file.name, headings).body
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}") from None
        except FileProblems as error:
            raise CommandError(str(error)) from None
        except NotMeasured as refused:
            raise CommandError(refusal(refused.code, refused.facts)) from None
        if options["json"]:
            self.stdout.write(json.dumps(found, indent=1))
            return
        size = found["file"]
        self.stdout.write(f"{size['kind']}, {size['width_px']} x {size['height_px']} px")
        for note in notes(size):
            self.stdout.write(f"  {note}")
        for row in rows(found["look"], bands):
            limit = f" ({row.limit})" if row.limit else ""
            self.stdout.write(f"{row.title}: {row.word}. {row.value}{limit}".rstrip())
            for said in row.words:
                self.stdout.write(f"  {said}")
