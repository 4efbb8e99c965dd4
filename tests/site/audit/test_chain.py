"""Whatever is done to the stored entries behind the site's back, the chain names the place."""

from __future__ import annotations

from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from academy.audit import sentences, triggers
from academy.audit.models import Entry
from academy.audit.verifying import verify_chain
from academy.craft.proof.chain import Fault, entry_hash
from tests.site.entries import recorded


def write(number: int, academy_id: int = 1) -> Entry:
    with transaction.atomic():
        return recorded(
            academy_id=academy_id,
            actor_id=3,
            action="audit.test.done",
            subject=("people.cohort", 4),
            details={"number": number},
        )


@pytest.fixture
def open_record() -> None:
    """Five entries in two chains, and no guard that keeps anybody from them."""
    for number in range(1, 6):
        write(number)
        write(number, academy_id=2)
    triggers.remove()


def tamper(sql: str, *values: int | bytes) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        assert cursor.rowcount > 0


def test_a_whole_chain_verifies() -> None:
    last = [write(number) for number in range(1, 6)][-1]
    result = verify_chain(1)
    assert (result.checked, result.head, result.broken) == (5, last.hash, None)


def test_an_academy_without_entries_has_nothing_wrong() -> None:
    assert verify_chain(7).checked == 0
    assert verify_chain(7).broken is None


def test_a_longer_chain_is_verified_by_no_more_queries(
    django_assert_max_num_queries: Any,
) -> None:
    for number in range(1, 40):
        write(number)
    with django_assert_max_num_queries(7):
        verify_chain(1)


COLUMNS = {
    "at": "UPDATE audit_entry SET at = '2020-01-01 00:00:00' {where}",
    "actor": "UPDATE audit_entry SET actor_id = 9 {where}",
    "nobody": "UPDATE audit_entry SET actor_id = NULL {where}",
    "about": "UPDATE audit_entry SET about_id = 9 {where}",
    "request": "UPDATE audit_entry SET request_id = 'x' {where}",
    "action": "UPDATE audit_entry SET action = 'audit.test.undone' {where}",
    "subject type": "UPDATE audit_entry SET subject_type = 'people.person' {where}",
    "subject": "UPDATE audit_entry SET subject_id = 5 {where}",
}


@pytest.mark.usefixtures("open_record")
@pytest.mark.parametrize("column", COLUMNS)
def test_a_changed_column_beside_untouched_bytes_is_found(column: str) -> None:
    tamper(COLUMNS[column].format(where="WHERE academy_id = 1 AND sequence = 3"))
    broken = verify_chain(1).broken
    assert broken is not None
    assert (broken.sequence, broken.fault) == (3, Fault.COLUMN)
    assert verify_chain(2).broken is None


@pytest.mark.usefixtures("open_record")
def test_changed_bytes_are_found() -> None:
    entry = Entry.objects.get(academy_id=1, sequence=3)
    forged = bytes(entry.canonical).replace(b'"number":3', b'"number":4')
    tamper("UPDATE audit_entry SET canonical = %s WHERE id = %s", forged, entry.pk)
    broken = verify_chain(1).broken
    assert broken is not None
    assert (broken.sequence, broken.fault) == (3, Fault.ALTERED)


@pytest.mark.usefixtures("open_record")
def test_changed_bytes_with_their_hash_made_again_are_found_at_the_next_entry() -> None:
    entry = Entry.objects.get(academy_id=1, sequence=3)
    forged = bytes(entry.canonical).replace(b'"number":3', b'"number":4')
    again = entry_hash(bytes(entry.previous_hash), forged)
    tamper(
        "UPDATE audit_entry SET canonical = %s, hash = %s WHERE id = %s", forged, again, entry.pk
    )
    broken = verify_chain(1).broken
    assert broken is not None
    assert (broken.sequence, broken.fault) == (4, Fault.CUT_FROM_PREVIOUS)


@pytest.mark.usefixtures("open_record")
def test_a_deleted_entry_is_found() -> None:
    tamper("DELETE FROM audit_entry WHERE academy_id = 1 AND sequence = 3")
    broken = verify_chain(1).broken
    assert broken is not None
    assert (broken.sequence, broken.fault) == (3, Fault.MISSING)


@pytest.mark.usefixtures("open_record")
def test_a_deleted_entry_with_the_rest_renumbered_is_found() -> None:
    tamper("DELETE FROM audit_entry WHERE academy_id = 1 AND sequence = 3")
    tamper("UPDATE audit_entry SET sequence = 3 WHERE academy_id = 1 AND sequence = 4")
    broken = verify_chain(1).broken
    assert broken is not None
    assert (broken.sequence, broken.fault) == (3, Fault.CUT_FROM_PREVIOUS)


@pytest.mark.usefixtures("open_record")
def test_two_swapped_entries_are_found() -> None:
    for old, new in ((3, 99), (4, 3), (99, 4)):
        tamper(
            "UPDATE audit_entry SET sequence = %s WHERE academy_id = 1 AND sequence = %s", new, old
        )
    broken = verify_chain(1).broken
    assert broken is not None
    assert (broken.sequence, broken.fault) == (3, Fault.CUT_FROM_PREVIOUS)


@pytest.mark.usefixtures("open_record")
def test_an_entry_moved_to_another_academy_is_found_in_both() -> None:
    tamper(
        "UPDATE audit_entry SET academy_id = 2, sequence = 6 WHERE academy_id = 1 AND sequence = 3"
    )
    assert verify_chain(1).broken is not None
    assert verify_chain(2).broken is not None


@pytest.mark.usefixtures("open_record")
def test_verify_record_names_the_first_wrong_entry_and_fails() -> None:
    triggers.install()
    call_command("verify_record", stdout=StringIO())
    triggers.remove()
    tamper("UPDATE audit_entry SET actor_id = 9 WHERE academy_id = 1 AND sequence >= 3")
    triggers.install()
    out = StringIO()
    with pytest.raises(CommandError, match="The record is not whole: 1"):
        call_command("verify_record", stdout=out)
    assert "1: Entry 3 shows something other than what was recorded" in out.getvalue()
    assert "1: Entries before it that are as written: 2." in out.getvalue()
    assert "2: Entries that are as written: 5, all of them." in out.getvalue()


@pytest.mark.usefixtures("open_record")
def test_verify_record_looks_at_one_academy_by_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    triggers.install()
    monkeypatch.setitem(
        sentences._resolvers, "people.academy_slug", lambda _: {1: "larkmere", 2: "elsewhere"}
    )
    out = StringIO()
    call_command("verify_record", academy="elsewhere", stdout=out)
    assert "elsewhere: Entries that are as written: 5" in out.getvalue()
    assert "larkmere" not in out.getvalue()
    with pytest.raises(CommandError, match="No academy called nowhere has a record here"):
        call_command("verify_record", academy="nowhere", stdout=out)


@pytest.mark.usefixtures("open_record")
def test_verify_record_fails_where_a_guard_is_missing() -> None:
    out = StringIO()
    with pytest.raises(CommandError, match="audit_guard_audit_entry_update"):
        call_command("verify_record", stdout=out)
    assert "The guard audit_guard_audit_entry_update is missing. Run: manage.py migrate" in (
        out.getvalue()
    )


def test_verify_record_says_so_where_there_is_no_entry() -> None:
    out = StringIO()
    call_command("verify_record", stdout=out)
    assert out.getvalue() == "The record is empty.\n"
