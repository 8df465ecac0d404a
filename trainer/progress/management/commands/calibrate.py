"""Slopes and difficulties of the cases of any table of answers, and everybody's score on it."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from scoring.mastery.items import fit_2pl, flat
from trainer.progress.responses import TableError, read_responses


class Command(BaseCommand):
    help = "Fit a table of answers (CSV: people down, cases across; 1, 0, NA or nothing): slopes, difficulties, scores."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--responses", required=True, type=Path, metavar="FILE.csv")
        parser.add_argument("--json", action="store_true", help="everything as JSON")
        parser.add_argument("--slope-prior-sd", type=float, default=None, help="of the log slope; none by default")
        parser.add_argument("--equal-slopes", action="store_true", help="one slope for all cases")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            whole = read_responses(options["responses"].read_text(encoding="utf-8-sig"))
            table = whole.without(left_out := flat(whole.answers))
            if not table.cases:
                raise TableError("everybody or nobody got each of the cases right: there is nothing to fit")
            fit = fit_2pl(table.answers, slope_prior_sd=options["slope_prior_sd"], equal_slopes=options["equal_slopes"])
        except OSError as error:
            raise CommandError(f"{options['responses']}: {error.strerror}") from None
        except (TableError, UnicodeDecodeError, ValueError) as error:
            raise CommandError(str(error)) from None
        if options["json"]:
            body = {
                "cases": [
                    {"name": name, "slope": slope, "difficulty_logit": difficulty}
                    for name, slope, difficulty in zip(table.cases, fit.slope, fit.difficulty, strict=True)
                ],
                "left_out": [whole.cases[column] for column in left_out],
                "loglik": fit.loglik,
                "rounds": fit.rounds,
                "people": [
                    {"name": name, "ability_logit": ability, "ability_sd": sd}
                    for name, ability, sd in zip(table.people, fit.ability, fit.ability_sd, strict=True)
                ],
            }
            self.stdout.write(json.dumps(body, allow_nan=False))
            return
        self.stdout.write(f"{len(table.people)} people, {len(table.cases)} cases, log likelihood {fit.loglik:.3f}")
        for name, slope, difficulty in zip(table.cases, fit.slope, fit.difficulty, strict=True):
            self.stdout.write(f"{name}: slope {slope:.4f}, difficulty {difficulty:.4f}")
        for column in left_out:
            self.stdout.write(f"{whole.cases[column]}: left out, everybody or nobody got it right, or nobody saw it")
