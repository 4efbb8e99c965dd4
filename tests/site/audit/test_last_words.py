"""When an entry goes out and when it is on disk: with the commit, before anybody is told."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import psycopg
import pytest
from django.db import IntegrityError, connections, transaction

from academy.audit.models import Entry
from academy.audit.services import record
from academy.audit.verifying import verify_chain

if TYPE_CHECKING:
    from academy.web.postgresql.base import DatabaseWrapper


def write(number: int, academy_id: int = 1) -> None:
    record(
        academy_id=academy_id,
        actor_id=3,
        action="audit.test.done",
        subject=("people.cohort", 4),
        details={"number": number},
    )


def numbers() -> list[int]:
    return [entry.details["number"] for entry in Entry.objects.order_by("academy_id", "sequence")]


def test_entries_of_one_transaction_stand_in_the_order_in_which_they_were_written(
    database: str,
) -> None:
    with transaction.atomic(database):
        for number in range(5):
            write(number)
    assert numbers() == [0, 1, 2, 3, 4]
    assert verify_chain(1).checked == 5


def test_an_entry_is_seen_by_the_next_query_of_its_own_transaction(database: str) -> None:
    with transaction.atomic(database):
        write(1)
        assert numbers() == [1]
        write(2)
    assert numbers() == [1, 2]


def test_a_savepoint_that_is_rolled_back_takes_its_entries_with_it(database: str) -> None:
    def write_in_vain(number: int, *, read: bool) -> None:
        with transaction.atomic(database):
            write(number)
            raise ZeroDivisionError(numbers() if read else "")

    with transaction.atomic(database):
        write(1)
        for number in (2, 3):
            with pytest.raises(ZeroDivisionError):
                write_in_vain(number, read=number == 2)
        write(4)
    assert numbers() == [1, 4]
    assert verify_chain(1).broken is None


def test_a_transaction_that_fails_at_its_end_leaves_a_usable_connection(database: str) -> None:
    """Number 2 is taken by a row that no service wrote."""

    def write_two_at_one_place() -> None:
        with transaction.atomic(database):
            write(2)
            with connections[database].cursor() as cursor:
                cursor.execute(
                    "INSERT INTO audit_entry (academy_id, sequence, at, request_id, action, "
                    "subject_type, subject_id, canonical, previous_hash, hash) "
                    "SELECT academy_id, sequence, at, request_id, action, subject_type, "
                    "subject_id, canonical, previous_hash, hash FROM audit_entry"
                )

    with transaction.atomic(database):
        write(1)
    with pytest.raises(IntegrityError):
        write_two_at_one_place()
    with transaction.atomic(database):
        write(3)
    assert numbers() == [1, 3]
    assert verify_chain(1).broken is None


def test_a_server_waits_for_the_disk_once_it_has_committed(
    database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    connection = connections[database]
    if connection.vendor != "postgresql":
        return
    said: list[bytes] = []
    with transaction.atomic(database):
        write(1)
        assert waits_for_disk(connection) == "off"
    assert waits_for_disk(connection) == "on"

    class Listening(psycopg.Cursor[Any]):
        def execute(self, query: Any, *args: Any, **kwargs: Any) -> Any:
            said.append(query)
            return super().execute(query, *args, **kwargs)

    monkeypatch.setattr(psycopg, "Cursor", Listening)
    with transaction.atomic(database):
        write(2)
    assert [words.split(b"(")[0] for words in said] == [
        b"SELECT audit_append",
        b"COMMIT",
        b"SELECT pg_logical_emit_message",
    ]


def waits_for_disk(connection: DatabaseWrapper | Any) -> str:
    with connection.cursor() as cursor:
        cursor.execute("SHOW synchronous_commit")
        return str(cursor.fetchone()[0])


def test_sqlite_writes_its_log_to_disk_before_the_commit_returns(
    database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    if connections[database].vendor != "sqlite":
        return
    synced: list[int] = []

    def note(log: int) -> None:
        # The turn to write is free for the next one while this one waits.
        assert connections[database]._turn is None  # type: ignore[attr-defined]
        synced.append(os.fstat(log).st_size)

    monkeypatch.setattr(os, "fdatasync", note)
    with transaction.atomic(database):
        write(1)
        assert synced == []
    assert len(synced) == 1
    with transaction.atomic(database):
        numbers()
    assert len(synced) == 1, "what only reads waits for no disk"
    with connections[database].cursor() as cursor:
        cursor.execute("CREATE TABLE line (number INTEGER)")
        cursor.execute("INSERT INTO line VALUES (1)")
    assert len(synced) == 2, "a single statement is a transaction of its own"
