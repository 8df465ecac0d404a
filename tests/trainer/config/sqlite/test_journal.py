"""Source of the versions: SQLite change log, 3.51.3 (and the back-ported branches 3.50 and 3.44)."""

from __future__ import annotations

import pytest
from django.db import connection

from trainer.config.sqlite.journal import journal_mode, wal_is_safe


@pytest.mark.parametrize("version", [(3, 51, 3), (3, 52, 0), (4, 0, 0), (3, 50, 7), (3, 44, 6)])
def test_it_takes_the_write_ahead_log_where_the_defect_is_mended(version: tuple[int, int, int]) -> None:
    assert wal_is_safe(version)
    assert journal_mode(version) == "WAL"


@pytest.mark.parametrize(
    "version", [(3, 40, 1), (3, 44, 5), (3, 45, 9), (3, 49, 2), (3, 50, 6), (3, 51, 2), (3, 51, 0)]
)
def test_it_takes_the_classic_journal_elsewhere(version: tuple[int, int, int]) -> None:
    assert not wal_is_safe(version)
    assert journal_mode(version) == "TRUNCATE"


@pytest.mark.django_db
def test_it_opens_the_embedded_database_with_full_syncs_and_the_right_journal() -> None:
    if connection.vendor != "sqlite":
        assert connection.vendor == "postgresql"
        return
    with connection.cursor() as cursor:
        pragmas = {}
        for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout"):
            cursor.execute(f"PRAGMA {name}")
            pragmas[name] = cursor.fetchone()[0]
    wanted = journal_mode(connection.Database.sqlite_version_info).lower()
    assert pragmas == {"journal_mode": wanted, "synchronous": 2, "foreign_keys": 1, "busy_timeout": 20_000}
    assert connection.transaction_mode == "IMMEDIATE"
