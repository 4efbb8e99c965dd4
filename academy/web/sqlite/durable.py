"""Waiting until what was committed is on disk, together with the others who wait.

With `synchronous=FULL` SQLite waits for the disk at every commit, while it holds the lock that all
writers want: one wait after the other. With NORMAL it does not wait, and the write-ahead log keeps
the file whole. Here whoever has committed waits after the lock is free, and one wait serves all
who committed before it began. Nobody is told that something stands before it is on disk, as with
FULL; only the order of waiting and handing on is another.
"""

from __future__ import annotations

import os
import threading
from pathlib import Path


class LogOnDisk:
    """The write-ahead log of one database file; one thread of the process waits for all."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._start()
        os.register_at_fork(after_in_child=self._start)

    def _start(self) -> None:
        self._free = threading.Condition()
        self._begun = 0
        self._ended = 0
        self._running = False

    def wait(self) -> None:
        """Return once everything that this process had committed before the call is on disk."""
        with self._free:
            wanted = self._begun + 1
            while self._running and self._ended < wanted:
                self._free.wait()
            if self._ended >= wanted:
                return
            self._running, self._begun = True, self._begun + 1
            mine = self._begun
        try:
            self._sync()
        except BaseException:
            with self._free:
                self._running = False
                self._free.notify_all()
            raise
        with self._free:
            self._running, self._ended = False, mine
            self._free.notify_all()

    def _sync(self) -> None:
        try:
            log = os.open(self.path, os.O_RDWR | os.O_CLOEXEC)
        except FileNotFoundError:
            # The last connection closed meanwhile: SQLite moved the log into the database, on disk.
            return
        try:
            os.fdatasync(log)
        finally:
            os.close(log)


_logs: dict[Path, LogOnDisk] = {}
_guard = threading.Lock()


def log_of(database: Path) -> LogOnDisk:
    """The one of this process for a database file."""
    path = Path(f"{database.resolve()}-wal")
    with _guard:
        if path not in _logs:
            _logs[path] = LogOnDisk(path)
        return _logs[path]
