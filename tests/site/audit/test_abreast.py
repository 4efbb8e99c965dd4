"""A long record is followed by several processes, which find what one finds, and no less."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.db import connections, transaction

from academy.audit import abreast, triggers
from academy.audit.checkpoints import make_checkpoint
from academy.audit.following import follow
from academy.audit.models import Entry
from academy.audit.services import record
from academy.audit.verifying import verify_chain
from academy.craft.proof.chain import Fault, Verified, entry_hash
from tests.site.audit.conftest import ALIAS, only_database, sqlite_file

if TYPE_CHECKING:
    from pytest_django.plugin import DjangoDbBlocker

    from academy.audit.places import Followed, Place

ENTRIES, SIGNED = 900, (200, 512, 700)
PARTS = [0, 256, 512]
"""After which entries the three parts begin: 256 divides their numbers."""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker) -> Path:
    """A file with entries and checkpoints among them, without guards."""
    path = tmp_path_factory.mktemp("abreast") / "record.sqlite3"
    with django_db_blocker.unblock(), only_database(sqlite_file(path)):
        begin = 0
        for end in (*SIGNED, ENTRIES):
            with transaction.atomic(ALIAS):
                for number in range(begin, end):
                    record(
                        academy_id=1,
                        actor_id=number % 3 or None,
                        action="audit.test.done",
                        subject=("people.cohort", number),
                        details={"number": number},
                    )
            begin = end
            if end != ENTRIES:
                make_checkpoint(1)
        triggers.remove(ALIAS)
    return path


@pytest.fixture
def long_record(
    written: Path,
    tmp_path: Path,
    django_db_blocker: DjangoDbBlocker,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[None]:
    """A record that is long enough here for three processes."""
    monkeypatch.setattr(abreast, "LEAST", 256)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1, 2})
    path = Path(shutil.copy(written, tmp_path))
    with django_db_blocker.unblock(), only_database(sqlite_file(path)):
        triggers.remove(ALIAS)
        yield


def alone(monkeypatch: pytest.MonkeyPatch) -> Verified:
    """What one process finds."""
    with monkeypatch.context() as patched:
        patched.setattr(abreast, "LEAST", 10_000)
        return verify_chain(1)


def run(sql: str, *values: str | int | bytes) -> None:
    with connections[ALIAS].cursor() as cursor:
        cursor.execute(sql, values)
        assert cursor.rowcount == 1


def test_other_processes_follow_every_part(
    long_record: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    here: list[tuple[int, int]] = []

    def noted(academy_id: int, place: Place, stop: int) -> Followed:
        here.append((place.sequence, stop))
        return follow(academy_id, place, stop)

    monkeypatch.setattr(abreast, "follow", noted)
    found = verify_chain(1)
    assert here == []
    assert found == alone(monkeypatch)
    assert found.checked == ENTRIES


def test_a_stretch_too_short_for_two_is_followed_by_one(
    long_record: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(abreast, "LEAST", ENTRIES // 2 + 1)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: pytest.fail("began one"))
    assert verify_chain(1).broken is None


@pytest.mark.parametrize("number", [1, 200, 256, 257, 400, 512, 513, 700, 701, 899, 900])
def test_an_altered_entry_is_named_whoever_met_it(
    long_record: None, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    run("UPDATE audit_entry SET canonical = %s WHERE sequence = %s", b"{}", number)
    found = verify_chain(1)
    assert found.broken is not None
    assert (found.broken.sequence, found.broken.fault) == (number, Fault.ALTERED)
    assert found == alone(monkeypatch)


@pytest.mark.parametrize("number", [255, 256, 257, 600])
def test_a_changed_column_is_named_whoever_met_it(
    long_record: None, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    run("UPDATE audit_entry SET subject_id = 7 WHERE sequence = %s", number)
    found = verify_chain(1)
    assert found.broken is not None
    assert (found.broken.sequence, found.broken.fault) == (number, Fault.COLUMN)
    assert found == alone(monkeypatch)


def test_a_part_that_begins_at_another_hash_than_the_one_before_ends_at_does_not_count(
    long_record: None,
) -> None:
    """The rest of the chain is made anew from the forged hash: each part alone is right."""
    number = PARTS[2]
    forged = b"\x07" * 32
    run("UPDATE audit_entry SET hash = %s WHERE sequence = %s", forged, number)
    for entry in Entry.objects.for_chain(1).filter(sequence__gt=number):
        before, forged = forged, entry_hash(forged, bytes(entry.canonical))
        sql = "UPDATE audit_entry SET previous_hash = %s, hash = %s WHERE sequence = %s"
        run(sql, before, forged, entry.sequence)
    found = verify_chain(1).broken
    assert found is not None
    assert (found.sequence, found.fault) == (number, Fault.ALTERED)


def test_a_root_beside_a_right_chain_is_seen_in_another_processes_part(
    long_record: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("UPDATE audit_checkpoint SET chunks = %s WHERE size = 700", b"\x01" * 32)
    found = verify_chain(1)
    assert found.broken is not None
    assert (found.broken.sequence, found.broken.fault) == (513, Fault.CHECKPOINT)
    assert found == alone(monkeypatch)


def test_a_column_that_holds_bytes_is_named(
    long_record: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The database refuses to spell it, so that no glance at its block is possible."""
    run("UPDATE audit_entry SET action = CAST(action AS BLOB) WHERE sequence = 600")
    found = verify_chain(1)
    assert found.broken is not None
    assert (found.broken.sequence, found.broken.fault) == (600, Fault.COLUMN)
    assert found == alone(monkeypatch)


def test_a_whole_second_which_is_stored_without_a_fraction_is_right(long_record: None) -> None:
    entry = Entry.objects.get(sequence=800)
    second = re.sub(rb'(:\d\d)\.\d{6}Z"', rb'\1.000000Z"', bytes(entry.canonical))
    moment = connections[ALIAS].ops.adapt_datetimefield_value(entry.at.replace(microsecond=0))
    head = bytes(entry.previous_hash)
    for later in Entry.objects.for_chain(1).filter(sequence__gte=800):
        content = second if later.sequence == 800 else bytes(later.canonical)
        sql = "UPDATE audit_entry SET canonical = %s, previous_hash = %s, hash = %s WHERE id = %s"
        before, head = head, entry_hash(head, content)
        run(sql, content, before, head, later.pk)
    run("UPDATE audit_entry SET at = %s WHERE sequence = 800", str(moment))
    found = verify_chain(1)
    assert (found.checked, found.broken) == (ENTRIES, None)


def test_text_that_is_none_is_named(long_record: None, monkeypatch: pytest.MonkeyPatch) -> None:
    run("UPDATE audit_entry SET action = CAST(%s AS TEXT) WHERE sequence = 600", b"a\xff")
    found = verify_chain(1)
    assert found.broken is not None
    assert (found.broken.sequence, found.broken.fault) == (600, Fault.COLUMN)
    assert found == alone(monkeypatch)


@pytest.mark.parametrize("number", [506, 700, 900])
def test_an_entry_that_is_there_twice_is_named_whoever_met_it(
    long_record: None, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """The table is made anew without its constraint; the second row shows another actor."""
    with connections[ALIAS].cursor() as cursor:
        cursor.execute("SELECT sql FROM sqlite_master WHERE name = 'audit_entry'")
        made = re.sub(r',\s*CONSTRAINT "\w+" UNIQUE \([^)]*\)', "", cursor.fetchone()[0])
        assert "UNIQUE" not in made
        cursor.execute(made.replace('"audit_entry"', '"other"', 1))
        cursor.execute("INSERT INTO other SELECT * FROM audit_entry")
        cursor.execute("DROP TABLE audit_entry")
        cursor.execute("ALTER TABLE other RENAME TO audit_entry")
        columns = [str(field.column) for field in Entry._meta.local_fields if not field.primary_key]
        shown = ", ".join("99" if name == "actor_id" else name for name in columns)
        cursor.execute(
            f"INSERT INTO audit_entry ({', '.join(columns)}) "  # noqa: S608
            f"SELECT {shown} FROM audit_entry WHERE sequence = %s",
            [number],
        )
    found = verify_chain(1).broken
    assert found is not None
    assert (found.sequence, found.fault) == (number, Fault.REPEATED)
    assert alone(monkeypatch).broken == found
