"""Reading and adding to the ledger: the order of entries, and tasks and grades as values again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from datetime import datetime
from typing import Any

from django.db import connection

from scoring.drill import Grade as GradeValue
from scoring.drill import Task, canonical_json
from scoring.kinds import kind
from scoring.standard import Standard
from trainer.drills.models import Attempt, Entry

ENTRY_LOCK = 7_120_001
"""Number of the advisory lock under which PostgreSQL numbers entries in the order of their commits."""


def enter(what: str, attempt: Attempt | None, now: datetime) -> Entry:
    """Append an entry; call it last in a transaction.

    Whoever folds the ledger reads past the last number once and never looks back, so a smaller number must not
    be committed after a larger one. SQLite has one writer at a time; on PostgreSQL a lock sees to it.
    """
    _take_turn()
    return Entry.objects.create(what=what, attempt=attempt, made_at=now)


def enter_many(entries: Iterable[Entry]) -> list[Entry]:
    """Append entries in their order; call it last in a transaction."""
    _take_turn()
    return Entry.objects.bulk_create(entries)


def _take_turn() -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [ENTRY_LOCK])


def task_of(attempt: Attempt) -> Task:
    """The task that was issued, as a value."""
    return Task(
        kind=attempt.kind,  # type: ignore[arg-type]
        recipe=attempt.recipe,
        recipe_hash=attempt.recipe_hash,
        standard=attempt.standard,
        seed=attempt.seed,
        engine=attempt.engine,
        public=attempt.public,
        key=attempt.key,
        difficulty_logit=attempt.difficulty_logit,
        difficulty_sd=attempt.difficulty_sd,
        guess_floor=attempt.guess_floor,
        fingerprint=attempt.fingerprint,
    )


def judge(attempt: Attempt, body: dict[str, Any], standard: Standard) -> GradeValue:
    """Grade an answer to an attempt; touches no database. Raises AnswerError."""
    return judge_task(task_of(attempt), body, standard)


def judge_task(task: Task, body: dict[str, Any], standard: Standard) -> GradeValue:
    """Grade an answer to a task. Raises AnswerError."""
    return kind(task.kind).grade(task, body, standard)


def grade_json(grade: GradeValue) -> dict[str, Any]:
    """A grade as JSON, checked to be finite."""
    body: dict[str, Any] = _plain(grade)
    canonical_json(body)
    return body


def _plain(value: Any) -> Any:
    """Values as dicts. Geometry is in lists already and is not copied, which `asdict` would do point by point."""
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    return tuple(_plain(one) for one in value) if isinstance(value, tuple) else value


__all__ = ["enter", "enter_many", "grade_json", "judge", "judge_task", "task_of"]
