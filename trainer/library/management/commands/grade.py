"""`manage.py grade`: grade a set of stations on a floor, with the engine of the site."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.border import FileProblems
from scoring.drill import AnswerError, Grade, Unfit, canonical_json
from scoring.kinds import kind
from trainer.library.desk import DEFAULT_KIT, desk, plain_task, read_stations, write_sheets


class Command(BaseCommand):
    """Print a grade in words or as JSON, and draw it if asked to. Touches no database."""

    help = "Grade the stations in a file on a floor with a kit: the same engine as the site, nothing is kept."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--floor", required=True, help="name in scenarios/floors, or a path ending in .json")
        parser.add_argument("--kit", default=DEFAULT_KIT, help="name in scenarios/kits, or a path (%(default)s)")
        parser.add_argument("--standard", default="house", help="name in scenarios/standards, or a path (%(default)s)")
        parser.add_argument("--stations", required=True, type=Path, metavar="FILE", help='{"stations": [{...}, ...]}')
        parser.add_argument("--json", action="store_true", help="print the whole grade as JSON")
        parser.add_argument("--svg", type=Path, metavar="OUT", help="draw the grade; a file for each level")

    def handle(self, *, floor: str, kit: str, standard: str, stations: Path, **options: Any) -> None:
        try:
            on, placed = desk(floor, kit, standard), read_stations(stations)
            task = plain_task(on)
            body = {"stations": [asdict(station) for station in placed]}
            grade = kind("place").grade(task, body, on.standard)
        except (FileProblems, AnswerError, Unfit) as error:
            raise CommandError(str(error)) from None
        self.stdout.write(canonical_json(asdict(grade)) if options["json"] else in_words(grade))
        if options["svg"]:
            every = [*grade.shapes, *(shape for mark in grade.marks for shape in mark.shapes)]
            write_sheets(options["svg"], on.plan, placed, every)


def in_words(grade: Grade) -> str:
    """A grade as lines to read: the whole first, then each mark with its number, limit and mend."""
    lines = [f"{grade.verdict}: {100 * grade.credit:.0f} % credit", grade.summary, ""]
    for mark in grade.marks:
        number = "" if mark.value is None else f" ({mark.value:.6g} {mark.unit}".rstrip() + ")"
        limit = "" if mark.limit is None else f", limit {mark.limit:.6g} {mark.unit}".rstrip()
        lines.append(f"{100 * mark.credit:3.0f} %  {mark.title}{number}{limit}: {mark.words}")
        if mark.mend:
            lines.append(f"        {mark.mend}")
    return "\n".join(lines)
