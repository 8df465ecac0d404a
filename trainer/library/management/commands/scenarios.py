"""``manage.py scenarios check [PATH...]`` tells every problem of scenario files; ``schema`` writes schemas."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from scoring.schema import schema_files
from trainer.library.files import SCHEMA_FOLDER, ScenarioProblems, check_files, read_scenarios, scenario_files


class Command(BaseCommand):
    """Check scenario files, or write the JSON Schemas of their forms."""

    help = "Check scenario files (every problem, with its place), or write their JSON Schemas."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        verbs = parser.add_subparsers(dest="verb", required=True)
        check = verbs.add_parser("check", help="tell every problem of these files or folders; exit code 1 if any")
        check.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="default: all of scenarios/")
        verbs.add_parser("schema", help="write scenarios/schema anew from the code's own types")

    def handle(self, *args: Any, **options: Any) -> None:
        home = Path(settings.SCENARIOS)
        if options["verb"] == "schema":
            for name, text in schema_files().items():
                (home / SCHEMA_FOLDER / name).write_text(text, encoding="utf-8")
                self.stdout.write(f"wrote {name}")
        elif options["paths"]:
            self._check_paths(options["paths"])
        else:
            self._check_home(home)

    def _check_home(self, home: Path) -> None:
        """The whole folder, with what its files say of each other."""
        try:
            read_scenarios(home)
        except ScenarioProblems as problems:
            self.stderr.write(str(problems))
            sys.exit(1)
        self.stdout.write(f"{len(scenario_files(home))} files, no problem")

    def _check_paths(self, paths: list[Path]) -> None:
        files = [file for path in paths for file in (scenario_files(path) if path.is_dir() else [path])]
        problems = check_files(files)
        if problems:
            self.stderr.write(str(ScenarioProblems(problems)))
            sys.exit(1)
        self.stdout.write(f"{len(files)} files, no problem")


__all__ = ["Command"]
