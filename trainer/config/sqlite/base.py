"""The framework's SQLite backend with full syncs, the right journal, and one gate for all writers.

    atomic block     BEGIN IMMEDIATE ........ COMMIT / ROLLBACK
    the gate      |--|----------------------------|--|
    one statement    INSERT, UPDATE, DELETE: held for that statement alone

Sessions, the task worker and every command pass the same gate, because it sits below all of them.
"""

from __future__ import annotations

from typing import Any

from django.db.backends.sqlite3 import base as django_sqlite

from trainer.config.sqlite.gate import Gate
from trainer.config.sqlite.journal import journal_mode

READ_WORDS = ("SELECT", "PRAGMA", "EXPLAIN", "BEGIN", "COMMIT", "ROLLBACK", "SAVEPOINT", "RELEASE")


class DatabaseWrapper(django_sqlite.DatabaseWrapper):
    """A connection that enters the gate before it writes and leaves it when the write is over."""

    _gate: Gate | None = None

    def get_connection_params(self) -> dict[str, Any]:
        params: dict[str, Any] = super().get_connection_params()
        version = self.Database.sqlite_version_info
        self.init_commands = [
            f"PRAGMA journal_mode = {journal_mode(version)}",
            "PRAGMA synchronous = FULL",
            *self.init_commands,  # type: ignore[has-type]
        ]
        return params

    @property
    def gate(self) -> Gate:
        """The gate of this database file; a database in memory has one of its own."""
        if self._gate is None:
            name = str(self.settings_dict["NAME"])
            path = "/dev/null" if self.is_in_memory_db() else f"{name}.gate"
            self._gate = Gate(path, float(self.settings_dict["OPTIONS"].get("timeout", 20)))
        return self._gate

    def create_cursor(self, name: str | None = None) -> Any:
        cursor = self.connection.cursor(factory=GatedCursor)
        cursor.gate_of = self
        return cursor

    def _start_transaction_under_autocommit(self) -> None:
        self.gate.enter()
        try:
            super()._start_transaction_under_autocommit()  # type: ignore[misc]
        except BaseException:
            self.gate.leave()
            raise

    def _commit(self) -> None:
        # A commit that fails keeps the transaction, and so the gate: the rollback that follows opens it.
        super()._commit()  # type: ignore[misc]
        self.gate.leave()

    def _rollback(self) -> None:
        try:
            super()._rollback()  # type: ignore[misc]
        finally:
            self.gate.leave()

    def _close(self) -> None:
        try:
            super()._close()  # type: ignore[misc]
        finally:
            if self._gate is not None:
                self._gate.close()


class GatedCursor(django_sqlite.SQLiteCursorWrapper):
    """A cursor that passes the gate for a single writing statement outside a transaction."""

    gate_of: DatabaseWrapper

    def execute(self, query: str, params: Any = None) -> Any:
        return self._gated(query, lambda: super(GatedCursor, self).execute(query, params))

    def executemany(self, query: str, param_list: Any) -> Any:
        return self._gated(query, lambda: super(GatedCursor, self).executemany(query, param_list))

    def _gated(self, query: str, run: Any) -> Any:
        gate = self.gate_of.gate
        if gate.held or query.lstrip()[:9].upper().startswith(READ_WORDS):
            return run()
        gate.enter()
        try:
            return run()
        finally:
            gate.leave()
