"""Django's PostgreSQL back-end with last words: what is said in one message with the commit.

A statement that takes a lock everybody waits for (the end of an academy's chain) should be the
last thing before the commit, and nothing of ours should run in between: beside seven busy threads
a way to the server and back is long. `say_last` keeps the statement until the commit and sends
both together. Whatever is asked before that in the same transaction is asked after it, so it is
never too late to be seen.

The statement may switch off the wait for the disk (`synchronous_commit`), so that its lock is
held no longer than the work takes. The commit is then followed, in the same message, by one that
does wait, together with those of others: what is told to a person is on disk all the same.
What all this saves is measured by benchmarks/record_writes.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import psycopg
from django.db.backends.postgresql import base
from django.db.backends.utils import debug_transaction

if TYPE_CHECKING:
    from collections.abc import Sequence

_WAIT_FOR_DISK = b"SELECT pg_logical_emit_message(true, 'blockwork', '')"


# The stubs of Django leave out the methods that are extended below.
class DatabaseWrapper(base.DatabaseWrapper):
    """One connection; `_last` are the words of the open transaction that were not said yet."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._last: list[tuple[bytes, Sequence[Any]]] = []
        self._waits = False

    def say_last(self, query: bytes, values: Sequence[Any]) -> None:
        """Run a statement without result at the end of the transaction that is open."""
        self._last.append((query, values))
        self._waits = True

    def create_cursor(self, name: str | None = None) -> Any:
        if self._last:
            self._say(psycopg.Cursor(self.connection))
        return super().create_cursor(name)

    def _say(self, cursor: psycopg.Cursor[Any]) -> None:
        said, self._last = self._last, []
        for query, values in said:
            cursor.execute(query, values)

    def _commit(self) -> None:
        if not self._waits:
            super()._commit()  # type: ignore[misc]
            return
        self._waits = False
        with (
            debug_transaction(self, "COMMIT"),
            self.wrap_database_errors,
            self.connection.pipeline(),
        ):
            cursor = psycopg.Cursor(self.connection)
            self._say(cursor)
            # Not psycopg's commit(): it would wait for the answer and begin anew.
            cursor.execute(b"COMMIT")
            cursor.execute(_WAIT_FOR_DISK)

    def _savepoint_rollback(self, sid: str) -> None:
        # Making the savepoint was a query, so what is still unsaid came after it.
        self._last = []
        super()._savepoint_rollback(sid)  # type: ignore[misc]

    def _rollback(self) -> None:
        self._forget()
        super()._rollback()  # type: ignore[misc]

    def _close(self) -> None:
        self._forget()
        super()._close()  # type: ignore[misc]

    def _forget(self) -> None:
        self._last, self._waits = [], False
