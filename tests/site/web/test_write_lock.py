from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.conf import settings
from django.db import connections
from django.db.utils import IntegrityError, OperationalError

from academy.settings.env import database
from academy.web.sqlite.base import DatabaseWrapper
from academy.web.sqlite.lock import lock_for

if TYPE_CHECKING:
    from pytest_django.plugin import DjangoDbBlocker

# What each process of the site does: several threads, each with a connection of its own.
WRITER = """
import sys, threading
from pathlib import Path
from django.conf import settings
from academy.settings.env import database
settings.configure(DATABASES={"default": database(Path(sys.argv[1]))})
from django.db import connection, transaction

threads, rows = int(sys.argv[2]), int(sys.argv[3])

def write_rows():
    for number in range(rows):
        if number % 2:
            with transaction.atomic(), connection.cursor() as cursor:
                cursor.execute("SELECT max(number) FROM line")
                last = cursor.fetchone()[0]
                cursor.execute("INSERT INTO line (number) VALUES (%s)", [last + 1])
        else:
            with connection.cursor() as cursor:
                cursor.execute("INSERT INTO line SELECT max(number) + 1 FROM line RETURNING number")
                cursor.fetchone()
    connection.close()

running = [threading.Thread(target=write_rows) for _ in range(threads)]
for thread in running: thread.start()
for thread in running: thread.join()
"""


@pytest.fixture(autouse=True)
def _databases_of_our_own(
    django_db_blocker: DjangoDbBlocker, monkeypatch: pytest.MonkeyPatch
) -> Iterator[None]:
    monkeypatch.delenv("DATABASE_URL", raising=False)
    with django_db_blocker.unblock():
        yield


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "blockwork.sqlite3"
    with sqlite3.connect(path) as plain:
        plain.execute("CREATE TABLE line (number INTEGER PRIMARY KEY)")
        plain.execute("INSERT INTO line VALUES (0)")
    plain.close()
    return path


def connect(path: Path, timeout: float = 20) -> DatabaseWrapper:
    """A connection to a file with the product's own options."""
    wanted = connections.configure_settings({"default": database(path)})["default"]
    wanted["OPTIONS"] = {**wanted["OPTIONS"], "timeout": timeout}
    return DatabaseWrapper(wanted, alias="default")


def begin(connection: DatabaseWrapper) -> None:
    connection.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)


def end(connection: DatabaseWrapper) -> None:
    connection.commit()
    connection.set_autocommit(True)


def lock_is_free(path: Path) -> bool:
    lock = lock_for(path)
    free = lock.acquire(0)
    if free:
        lock.release()
    return free


def test_many_writers_in_several_processes_lose_no_row(path: Path) -> None:
    processes, threads, rows = 3, 6, 12
    running = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), str(threads), str(rows)],
            cwd=settings.ROOT,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(processes)
    ]
    trouble = [process.communicate(timeout=120)[1] for process in running]
    assert "database is locked" not in "".join(trouble)
    assert [process.returncode for process in running] == [0] * processes
    with sqlite3.connect(path) as plain:
        written = [number for (number,) in plain.execute("SELECT number FROM line ORDER BY 1")]
    plain.close()
    assert written == list(range(processes * threads * rows + 1))


def test_a_transaction_waits_for_the_one_before_it(path: Path) -> None:
    first = connect(path)
    order: list[str] = []
    begin(first)

    def write_second() -> None:
        second = connect(path)
        begin(second)
        order.append("second")
        end(second)
        second.close()

    thread = threading.Thread(target=write_second)
    thread.start()
    time.sleep(0.1)
    order.append("first")
    end(first)
    thread.join(timeout=10)
    first.close()
    assert order == ["first", "second"]


def test_a_writer_without_a_turn_is_told_so(path: Path) -> None:
    first, second = connect(path), connect(path, timeout=0.05)
    begin(first)
    with pytest.raises(OperationalError, match=r"no turn to write within 0\.05 s"):
        begin(second)
    end(first)
    first.close()
    second.close()


@pytest.mark.parametrize("how", ["commit", "rollback", "close", "failed statement"])
def test_the_turn_is_given_up_however_the_writer_ends(path: Path, how: str) -> None:
    connection = connect(path)
    if how == "failed statement":
        with connection.cursor() as cursor, pytest.raises(IntegrityError):
            cursor.execute("INSERT INTO line VALUES (0)")
    else:
        begin(connection)
        assert not lock_is_free(path)
        getattr(connection, "_close" if how == "close" else how)()
    assert lock_is_free(path)
    connection.close()


def test_a_single_statement_keeps_its_turn_until_its_row_is_read(path: Path) -> None:
    connection = connect(path)
    cursor = connection.cursor()
    cursor.execute("INSERT INTO line VALUES (7) RETURNING number")
    assert not lock_is_free(path)
    assert cursor.fetchone() == (7,)
    assert lock_is_free(path)
    connection.close()


def test_reading_takes_no_turn(path: Path) -> None:
    writer, reader = connect(path), connect(path, timeout=0.05)
    begin(writer)
    with reader.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM line")
        assert cursor.fetchone() == (1,)
    end(writer)
    writer.close()
    reader.close()


def test_a_forked_child_does_not_hold_its_parents_turn(path: Path) -> None:
    lock = lock_for(path)
    assert lock.acquire(1)
    child = os.fork()
    if child == 0:
        # The parent's open file is not the child's: flock must wait, and a timer ends it.
        signal.setitimer(signal.ITIMER_REAL, 0.3)
        lock.acquire(5)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    lock.release()
    assert os.WIFSIGNALED(status)


def test_a_database_in_memory_needs_no_lock_file() -> None:
    connection = connect(Path(":memory:"))
    begin(connection)
    assert connection._turn is None
    end(connection)
