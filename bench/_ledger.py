"""A long ledger of invented people in a database of its own, for the benches of what is folded from it.

Abilities and answers are drawn from a fixed seed: a year of days, each person at work on some of them, so many cases a
day on the recipes of the standard set. Tasks, answers and grades are as small as folding lets them be; nothing here is
opened on a page. Some attempts are voided later, as happens.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import random
import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

FIRST = datetime(2025, 3, 1, 8, tzinfo=UTC)
DAYS = 365
CASES_A_DAY = 10
TEAM_OF = 50
REGIONS = ("North", "East", "South", "West")
KITS = ("heron-three", "plover-four", "bittern-six")
VOID_EVERY = 4000
"""One graded attempt in so many is voided, some days later."""
COLUMNS = {
    "drills_attempt": (
        "id", "person_id", "mode", "kind", "recipe", "recipe_hash", "kit", "seed", "engine", "standard",
        "standard_address", "public", "key", "difficulty_logit", "difficulty_sd", "guess_floor", "fingerprint",
        "issued_at",
    ),
    "drills_answer": ("id", "attempt_id", "client_key", "body", "sureness", "answered_at", "received_at"),
    "drills_grade": ("id", "answer_id", "credit", "verdict", "body", "engine", "standard", "made_at"),
    "drills_void": ("attempt_id", "by_id", "reason", "made_at"),
    "drills_entry": ("what", "attempt_id", "made_at"),
}  # fmt: skip


def site(folder: Path) -> None:
    """A site with an empty database in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    os.environ.update(LEVELHEAD_VAR=str(folder), DATABASE_URL=f"sqlite:///{folder}/ledger.sqlite3")
    os.environ["DJANGO_SETTINGS_MODULE"] = "trainer.config.settings"
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("library", stdout=StringIO())


def people(count: int) -> list[Any]:
    """One invented firm with so many operators in teams of fifty, an owner first in the list."""
    from trainer.people.models import Firm, Membership, Person, Role, Team
    from trainer.roster.models import KitChange

    firm = Firm.objects.create(name="Bench", invented=True)
    teams = [
        Team.objects.create(firm=firm, name=f"Team {number + 1}", region=REGIONS[number % len(REGIONS)])
        for number in range(-(-count // TEAM_OF))
    ]
    everybody = [Person(email=f"p{number}@levelhead.example", name=f"Person {number}") for number in range(count + 1)]
    Person.objects.bulk_create(everybody, 1000)
    owner, *operators = everybody
    Membership.objects.create(person=owner, team=teams[0], role=Role.OWNER)
    works = [Membership(person=one, team=teams[n // TEAM_OF], role=Role.OPERATOR) for n, one in enumerate(operators)]
    Membership.objects.bulk_create(works, 1000)
    kits = [
        KitChange(person=one, kit=KITS[n % len(KITS)], parts=[], made_at=FIRST - timedelta(days=1))
        for n, one in enumerate(operators)
    ]
    KitChange.objects.bulk_create(kits, 1000)
    return everybody


def fill(operators: list[Any], entries: int, seed: int, *, days: int = DAYS, void_every: int = VOID_EVERY) -> None:
    """Append so many entries to the ledger, in the order of their days."""
    from django.db import connection, transaction

    numbers = {table: _last(connection, table) for table in ("drills_answer", "drills_grade")}
    for rows in _days(operators, entries, seed, days, void_every, numbers):
        with transaction.atomic(), connection.cursor() as cursor:
            for table, columns in COLUMNS.items():
                if rows[table]:
                    # The names are those of the table above.
                    into = f'INSERT INTO "{table}" ({", ".join(columns)}) VALUES ({", ".join(["%s"] * len(columns))})'
                    cursor.executemany(into, rows[table])


def projections(told: int | None = None) -> str:
    """A digest of all that the ledger was folded to, to the last digit; of standings those of so many people are told
    first (all by default)."""
    from trainer.people.models import Person
    from trainer.progress.models import Evidence, Judgement, Record, Standing
    from trainer.progress.renew import fresh

    chosen = list(Person.objects.order_by("email").values_list("pk", flat=True)[:told])
    fresh(Person.objects.filter(pk__in=chosen), FIRST.date() + timedelta(days=DAYS))
    digest = hashlib.sha256()
    for table, order in (
        (Record, ("person_id", "skill")),
        (Evidence, ("entry", "skill")),
        (Judgement, ("entry",)),
        (Standing, ("person_id",)),
    ):
        names = [field.attname for field in table._meta.concrete_fields if field.attname != "id"]
        for row in table.objects.order_by(*order).values_list(*names).iterator(chunk_size=5000):
            digest.update(repr(row).encode())
    return digest.hexdigest()


def _last(connection: Any, table: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT COALESCE(MAX(id), 0) FROM "{table}"')
        return int(cursor.fetchone()[0])


def _days(
    operators: list[Any], entries: int, seed: int, days: int, void_every: int, numbers: dict[str, int]
) -> Iterator[dict[str, list[Any]]]:
    from django.db import connection

    from trainer.library.shelf import recipes as on_shelf
    from trainer.progress.standing import standard_set

    ident: Callable[[uuid.UUID], Any] = (lambda one: one.hex) if connection.vendor == "sqlite" else (lambda one: one)
    moment: Callable[[datetime], Any] = (
        (lambda at: at.replace(tzinfo=None).isoformat(" ")) if connection.vendor == "sqlite" else (lambda at: at)
    )
    rng = random.Random(seed)
    cases: dict[str, list[Any]] = {}
    for case in standard_set().cases:
        cases.setdefault(case.recipe, []).append(case)
    recipes = sorted(cases)
    kinds = {recipe.name: recipe.kind for recipe in on_shelf()}
    level = {one.pk: rng.gauss(1.6, 0.9) for one in operators}
    apart = {(one.pk, skill): rng.gauss(0.0, 0.7) for one in operators for skill in standard_set().skills}
    share = entries / (days * len(operators) * CASES_A_DAY)
    done = 0
    to_void: list[tuple[int, uuid.UUID, Any]] = []
    for day in range(days):
        rows: dict[str, list[Any]] = {table: [] for table in COLUMNS}
        last_day = day == days - 1
        for one in operators:
            if not last_day and rng.random() >= share:
                continue
            at = FIRST + timedelta(days=day, minutes=rng.randrange(480))
            for step in range(
                CASES_A_DAY if not last_day else max(CASES_A_DAY, -(-(entries - done) // len(operators)))
            ):
                if done >= entries:
                    break
                name = rng.choice(recipes)
                evidence = [
                    {
                        "skill": case.skill,
                        "credit": _credit(rng, level[one.pk] + apart[one.pk, case.skill], case.guess_floor),
                        "difficulty_logit": 0.0,
                        "difficulty_sd": 0.6,
                        "guess_floor": case.guess_floor,
                    }
                    for case in cases[name]
                ]
                credit = sum(piece["credit"] for piece in evidence) / len(evidence)
                when = moment(at + timedelta(minutes=2 * step))
                attempt, key = (uuid.UUID(int=rng.getrandbits(128), version=4) for _ in range(2))
                body = {"verdict": rng.choice(("redo", "keep"))} if kinds.get(name, "place") == "verdict" else {}
                for table in numbers:
                    numbers[table] += 1
                rows["drills_attempt"].append(
                    (ident(attempt), ident(one.pk), "drill", kinds.get(name, "place"), name, "r", KITS[0], done, "1",
                     "house-1", "s", "{}", "{}", 0.0, 0.6, 0.1, str(done), when)
                )  # fmt: skip
                rows["drills_answer"].append(
                    (
                        numbers["drills_answer"],
                        ident(attempt),
                        ident(key),
                        json.dumps(body),
                        rng.randint(1, 3),
                        when,
                        when,
                    )
                )
                rows["drills_grade"].append(
                    (numbers["drills_grade"], numbers["drills_answer"], credit, "holds",
                     json.dumps({"credit": credit, "verdict": "holds", "evidence": evidence}), "1", "house-1", when)
                )  # fmt: skip
                rows["drills_entry"].append(("grade", ident(attempt), when))
                done += 1
                if done % void_every == 0 and not last_day:
                    to_void.append((day + 1 + rng.randrange(20), attempt, one))
        due = [void for void in to_void if void[0] <= day or last_day]
        to_void = [void for void in to_void if void not in due]
        for _, attempt, _ in due:
            if done < entries:
                when = moment(FIRST + timedelta(days=day, hours=12))
                rows["drills_void"].append((ident(attempt), None, "drawn by the bench", when))
                rows["drills_entry"].append(("void", ident(attempt), when))
                done += 1
        yield rows


def _credit(rng: random.Random, logit: float, floor: float) -> float:
    """Full, half or no credit, as an ability would earn it."""
    chance = floor + (1.0 - floor) / (1.0 + math.exp(-logit))
    drawn = rng.random()
    return 1.0 if drawn < chance - 0.1 else 0.5 if drawn < chance + 0.1 else 0.0
