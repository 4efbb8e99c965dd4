"""A fair lock in front of SQLite's one writer, shared by every thread and process of a machine."""

from __future__ import annotations

import fcntl
import os
import threading
from pathlib import Path


class WriteLock:
    """Hands the turn to write from waiter to waiter, where SQLite itself sleeps and tries again.

    Threads queue at a `threading.Lock`, and one thread of each process at `flock` on a file
    beside the database. The kernel drops the `flock` of a killed process, so none is left over.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._start()
        os.register_at_fork(after_in_child=self._start)

    def _start(self) -> None:
        # A child shares its parent's open file and so its flock: it opens the file anew.
        self._threads = threading.Lock()
        self._file: int | None = None

    def acquire(self, timeout: float) -> bool:
        """Wait for the turn, at most `timeout` seconds for this process's own threads."""
        if not self._threads.acquire(timeout=timeout):
            return False
        try:
            if self._file is None:
                self._file = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
            fcntl.flock(self._file, fcntl.LOCK_EX)
        except BaseException:
            self._threads.release()
            raise
        return True

    def release(self) -> None:
        if self._file is not None:
            fcntl.flock(self._file, fcntl.LOCK_UN)
        self._threads.release()


_locks: dict[Path, WriteLock] = {}
_guard = threading.Lock()


def lock_for(database: Path) -> WriteLock:
    """The one lock of this process for a database file."""
    path = Path(f"{database.resolve()}.lock")
    with _guard:
        if path not in _locks:
            _locks[path] = WriteLock(path)
        return _locks[path]
