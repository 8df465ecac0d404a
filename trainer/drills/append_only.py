"""The seal on the ledger: triggers by which the database itself refuses to change or remove a row.

One change is let through: cutting the link to a person (set to null), which is how a person is erased.
Works on SQLite and PostgreSQL. The seal is put on by a migration; a migration that alters one of these tables
must put it on again (a test looks whether it is there).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Sealed:
    """A table of the ledger: its columns, and the one that may be set to null, if any."""

    table: str
    columns: tuple[str, ...]
    person_column: str | None = None


SEALED = (
    Sealed(
        "drills_attempt",
        ("id", "mode", "kind", "recipe", "recipe_hash", "kit", "seed", "engine", "standard", "standard_address",
         "public", "key", "difficulty_logit", "difficulty_sd", "guess_floor", "fingerprint", "issued_at"),
        "person_id",
    ),
    Sealed(
        "drills_answer",
        ("id", "attempt_id", "client_key", "body", "sureness", "answered_at", "received_at"),
    ),
    Sealed("drills_grade", ("id", "answer_id", "credit", "verdict", "body", "engine", "standard", "made_at")),
    Sealed("drills_void", ("id", "attempt_id", "reason", "made_at"), "by_id"),
    Sealed("drills_entry", ("id", "what", "attempt_id", "made_at")),
)  # fmt: skip

BESIDE = frozenset({
    "drills_flag", "drills_flagreply", "drills_casevoid", "drills_check", "drills_checkcase", "drills_checkend",
    "drills_checkwitness",
})  # fmt: skip
"""Tables of what people say about the ledger and how they work through it; these leave with the person."""

WORDS = "the ledger is appended to, never changed"


def seal(connection: Any) -> None:
    """Put the triggers on; the seal must not be on already."""
    _run(connection, _sqlite_on() if connection.vendor == "sqlite" else _postgres_on())


def unseal(connection: Any) -> None:
    """Take the triggers off: for a migration of these tables, and for emptying a test database."""
    _run(connection, _sqlite_off() if connection.vendor == "sqlite" else _postgres_off())


def trigger_names(connection: Any) -> set[str]:
    """Names of the triggers of the ledger that the database has."""
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {name for (name,) in cursor.fetchall() if name.startswith("sealed_")}


def expected_names(vendor: str) -> set[str]:
    """Names of the triggers that a sealed ledger has."""
    verbs = ("delete", "update") if vendor == "sqlite" else ("delete", "update", "truncate")
    names = {f"sealed_{sealed.table}_{verb}" for sealed in SEALED for verb in verbs}
    return names | {f"sealed_{sealed.table}_person" for sealed in SEALED if sealed.person_column}


def _run(connection: Any, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _quoted(columns: tuple[str, ...]) -> str:
    return ", ".join(f'"{column}"' for column in columns)


def _sqlite_on() -> list[str]:
    refuse = f"BEGIN SELECT RAISE(ABORT, '{WORDS}'); END"
    made = []
    for sealed in SEALED:
        name = f"sealed_{sealed.table}"
        made.append(f'CREATE TRIGGER {name}_delete BEFORE DELETE ON "{sealed.table}" {refuse}')
        made.append(
            f'CREATE TRIGGER {name}_update BEFORE UPDATE OF {_quoted(sealed.columns)} ON "{sealed.table}" {refuse}'
        )
        if sealed.person_column:
            made.append(
                f'CREATE TRIGGER {name}_person BEFORE UPDATE OF "{sealed.person_column}" ON "{sealed.table}" '
                f'WHEN NEW."{sealed.person_column}" IS NOT NULL {refuse}'
            )
    return made


def _sqlite_off() -> list[str]:
    return [f"DROP TRIGGER {name}" for name in sorted(expected_names("sqlite"))]


def _postgres_on() -> list[str]:
    made = [
        "CREATE FUNCTION ledger_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    ]
    refuse = "EXECUTE FUNCTION ledger_refuse()"
    for sealed in SEALED:
        name = f"sealed_{sealed.table}"
        made.append(f'CREATE TRIGGER {name}_delete BEFORE DELETE ON "{sealed.table}" FOR EACH ROW {refuse}')
        made.append(f'CREATE TRIGGER {name}_truncate BEFORE TRUNCATE ON "{sealed.table}" FOR EACH STATEMENT {refuse}')
        made.append(
            f'CREATE TRIGGER {name}_update BEFORE UPDATE OF {_quoted(sealed.columns)} ON "{sealed.table}" '
            f"FOR EACH ROW {refuse}"
        )
        if sealed.person_column:
            made.append(
                f'CREATE TRIGGER {name}_person BEFORE UPDATE OF "{sealed.person_column}" ON "{sealed.table}" '
                f'FOR EACH ROW WHEN (NEW."{sealed.person_column}" IS NOT NULL) {refuse}'
            )
    return made


def _postgres_off() -> list[str]:
    return ["DROP FUNCTION ledger_refuse() CASCADE"]


__all__ = ["BESIDE", "SEALED", "WORDS", "Sealed", "expected_names", "seal", "trigger_names", "unseal"]
