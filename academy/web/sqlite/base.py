"""Django's SQLite back-end with immediate transactions behind a fair write lock.

SQLite has one writer. Those who wait sleep and ask again, in no order, so a busy site sees
long waits. Here they queue (`WriteLock`): a transaction takes its turn before it begins and
gives it up when it is committed, rolled back or its connection closed; a single writing
statement outside a transaction takes its turn for itself. What was written is on disk before the
commit returns (`LogOnDisk`), but the turn is handed on before that wait. What this saves is
measured in docs/running.md.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.db.backends.sqlite3 import base
from django.db.utils import OperationalError

from academy.web.sqlite.durable import log_of
from academy.web.sqlite.lock import WriteLock, lock_for

if TYPE_CHECKING:
    from collections.abc import Callable

WRITES = ("INSERT", "UPDATE", "DELETE", "REPLACE")


# The stubs of Django leave out the four methods that are extended below.
class DatabaseWrapper(base.DatabaseWrapper):
    """One connection; `_turn` is the lock while this connection holds it.

    `_on_disk` is how many rows it had changed when it last waited for the disk.
    """

    _turn: WriteLock | None = None
    _on_disk = 0

    def take_turn(self) -> None:
        """Wait for the right to write; nothing to wait for where no other process can write."""
        if self._turn is not None or self._in_memory:
            return
        name = str(self.settings_dict["NAME"])
        seconds = float(self.settings_dict["OPTIONS"].get("timeout", 20))
        lock = lock_for(Path(name))
        if not lock.acquire(seconds):
            raise OperationalError(f"database is locked: no turn to write within {seconds:g} s")
        self._turn = lock

    def give_up_turn(self) -> None:
        if self._turn is not None:
            lock, self._turn = self._turn, None
            lock.release()

    def wait_for_disk(self) -> None:
        """Return once what this connection has committed is on disk."""
        changed = self.connection.total_changes
        if changed != self._on_disk and not self._in_memory:
            log_of(Path(str(self.settings_dict["NAME"]))).wait()
        self._on_disk = changed

    @property
    def _in_memory(self) -> bool:
        return str(self.settings_dict["NAME"]).startswith((":memory:", "file:"))

    def create_cursor(self, name: str | None = None) -> Any:  # noqa: ARG002  (Django's signature)
        return self.connection.cursor(factory=lambda connection: TurnCursor(connection, self))

    def _start_transaction_under_autocommit(self) -> None:
        self.take_turn()
        try:
            super()._start_transaction_under_autocommit()  # type: ignore[misc]
        except BaseException:
            self.give_up_turn()
            raise

    def _commit(self) -> None:
        super()._commit()  # type: ignore[misc]
        self.give_up_turn()
        self.wait_for_disk()

    def _rollback(self) -> None:
        try:
            super()._rollback()  # type: ignore[misc]
        finally:
            self.give_up_turn()

    def _close(self) -> None:
        try:
            super()._close()  # type: ignore[misc]
        finally:
            self._on_disk = 0
            self.give_up_turn()


class TurnCursor(base.SQLiteCursorWrapper):
    """Takes a turn for a single writing statement outside a transaction.

    SQLite commits such a statement when its last row is read, so one with RETURNING keeps its
    turn until then.
    """

    def __init__(self, connection: Any, wrapper: DatabaseWrapper) -> None:
        super().__init__(connection)
        self._wrapper = wrapper
        self._keeps_turn = False

    def execute(self, query: str, params: Any = None) -> Any:
        return self._in_turn(query, lambda: super(TurnCursor, self).execute(query, params))

    def executemany(self, query: str, param_list: Any) -> Any:
        return self._in_turn(query, lambda: super(TurnCursor, self).executemany(query, param_list))

    def fetchone(self) -> Any:
        return self._then_give_up(super().fetchone)

    def fetchmany(self, size: int | None = None) -> Any:
        return self._then_give_up(lambda: super(TurnCursor, self).fetchmany(size or self.arraysize))

    def fetchall(self) -> Any:
        return self._then_give_up(super().fetchall)

    def close(self) -> None:
        self._then_give_up(super().close)

    def _in_turn(self, query: str, run: Callable[[], Any]) -> Any:
        if self._wrapper.in_atomic_block or not query.lstrip()[:7].upper().startswith(WRITES):
            return run()
        self._wrapper.take_turn()
        self._keeps_turn = True
        try:
            answer = run()
        except BaseException:
            self._then_give_up(lambda: None)
            raise
        if "RETURNING" not in query:
            self._then_give_up(lambda: None)
        return answer

    def _then_give_up(self, run: Callable[[], Any]) -> Any:
        try:
            return run()
        finally:
            if self._keeps_turn:
                self._keeps_turn = False
                self._wrapper.give_up_turn()
                self._wrapper.wait_for_disk()
