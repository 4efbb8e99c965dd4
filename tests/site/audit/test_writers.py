"""Real transactions: who writes at the same time, and what is left when one does not end well."""

from __future__ import annotations

import threading

import pytest
from django.db import connections, transaction

from academy.audit.errors import RecordError
from academy.audit.models import Entry
from academy.audit.services import record
from academy.audit.verifying import verify_chain
from tests.site.entries import recorded

WRITERS, EACH = 4, 15


def write(database: str, number: int, academy_id: int = 1) -> Entry:
    with transaction.atomic(database):
        return recorded(
            academy_id=academy_id,
            actor_id=3,
            action="audit.test.done",
            subject=("people.cohort", 4),
            details={"number": number},
        )


def test_outside_a_transaction_nothing_is_written(database: str) -> None:
    with pytest.raises(RecordError, match="Open one first"):
        record(
            academy_id=1,
            actor_id=3,
            action="audit.test.done",
            subject=("people.cohort", 4),
            details={"number": 1},
        )
    assert not Entry.objects.exists()


def test_writers_at_the_same_time_make_one_chain_without_a_gap(database: str) -> None:
    begin = threading.Barrier(WRITERS)
    trouble: list[BaseException] = []

    def write_many(writer: int) -> None:
        try:
            begin.wait()
            for number in range(EACH):
                write(database, writer * EACH + number)
        except BaseException as error:  # noqa: BLE001  (told to the test below)
            trouble.append(error)
        finally:
            connections[database].close()

    running = [threading.Thread(target=write_many, args=(n,)) for n in range(WRITERS)]
    for thread in running:
        thread.start()
    for thread in running:
        thread.join(timeout=60)
    assert trouble == []
    result = verify_chain(1)
    assert (result.checked, result.broken) == (WRITERS * EACH, None)
    written = sorted(entry.details["number"] for entry in Entry.objects.all())
    assert written == list(range(WRITERS * EACH))


def test_a_writer_that_gives_up_leaves_nothing_and_holds_nobody(database: str) -> None:
    write(database, 1)
    with pytest.raises(ZeroDivisionError), transaction.atomic(database):
        assert write(database, 2).sequence / 0
    assert write(database, 3).sequence == 2
    assert verify_chain(1).broken is None


def test_the_details_and_the_time_come_back_from_the_database_as_written(database: str) -> None:
    entry = write(database, 7)
    again = Entry.objects.get()
    assert again.at == entry.at
    assert again.details == {"number": 7}
    assert again.link == entry.link
