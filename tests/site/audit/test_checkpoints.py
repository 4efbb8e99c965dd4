"""Checkpoints: what is signed, that it only grows, and what they show from inside and outside."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from academy.audit import checkpoints, following, keys, triggers
from academy.audit.checking import newest_check, start_check
from academy.audit.checkpoints import make_checkpoint, tree_at
from academy.audit.errors import AuditError
from academy.audit.models import Checkpoint, Entry, RecordCheck, SigningKey
from academy.audit.models.checkpoints import hashes
from academy.audit.statements import key_statement
from academy.audit.tasks import nightly
from academy.audit.verifying import verify_chain
from academy.craft.proof.chain import Fault, entry_hash
from academy.craft.proof.merkle import CHUNK, consistent, included, leaf_hash, tree_of
from academy.craft.proof.signing import Signer, signed
from tests.site.entries import recorded


def write(count: int, academy_id: int = 1) -> None:
    with transaction.atomic():
        for number in range(count):
            recorded(
                academy_id=academy_id,
                actor_id=3,
                action="audit.test.done",
                subject=("people.cohort", 4),
                details={"number": number},
            )


def tamper(sql: str, *values: int | bytes) -> None:
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        assert cursor.rowcount > 0
    triggers.install()


def leaves() -> list[bytes]:
    return [leaf_hash(bytes(e.canonical)) for e in Entry.objects.for_chain(1)]


def broken_now(**options: Any) -> tuple[int, Fault]:
    found = verify_chain(1, **options).broken
    assert found is not None
    return found.sequence, found.fault


@pytest.fixture
def key_file(settings: Any, tmp_path: Path) -> Path:
    """A place for a key, still empty."""
    settings.RECORD_KEY_FILE = tmp_path / "keys" / "record-key.pem"
    return tmp_path / "keys" / "record-key.pem"


def test_a_checkpoint_signs_length_root_and_last_hash() -> None:
    write(5)
    made = make_checkpoint(1)
    assert made.size == 5
    assert bytes(made.root) == tree_of(leaves()).root()
    assert bytes(made.head) == bytes(Entry.objects.get(academy_id=1, sequence=5).hash)
    assert signed(
        bytes(made.statement), signature=bytes(made.signature), public=bytes(made.key.public)
    )
    assert made.holds


def test_the_next_checkpoint_reads_only_what_is_new(monkeypatch: pytest.MonkeyPatch) -> None:
    write(CHUNK + 9)
    first = make_checkpoint(1)
    write(CHUNK)
    begun: list[int] = []
    follow = following.follow

    def note(academy_id: int, start: Any, last: int) -> Any:
        begun.append(start.sequence)
        return follow(academy_id, start, last)

    monkeypatch.setattr(checkpoints, "follow", note)
    second = make_checkpoint(1)
    assert begun == [first.size]
    assert bytes(second.root) == tree_of(leaves()).root()
    assert [len(hashes(bytes(row.chunks))) for row in (first, second)] == [1, 1]


def test_two_who_sign_at_once_make_one_line_of_checkpoints(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The second goes on from what the first signed, or both would keep the chunk between."""
    write(CHUNK - 6)
    make_checkpoint(1)
    write(12)
    follow = checkpoints.follow  # type: ignore[attr-defined]

    def meanwhile(*where: Any) -> Any:
        found = follow(*where)
        monkeypatch.setattr(checkpoints, "follow", follow)
        write(5)
        make_checkpoint(1)
        return found

    monkeypatch.setattr(checkpoints, "follow", meanwhile)
    assert make_checkpoint(1).size == CHUNK + 11
    assert [checkpoint.size for checkpoint in Checkpoint.objects.of(1)] == [CHUNK - 6, CHUNK + 11]
    assert verify_chain(1).broken is None
    tree = tree_at(1, CHUNK + 11)
    assert tree.root() == tree_of(leaves()).root()


def test_where_nothing_is_new_the_newest_checkpoint_is_given_back() -> None:
    write(2)
    assert make_checkpoint(1) == make_checkpoint(1)
    assert Checkpoint.objects.count() == 1


def test_proofs_come_from_kept_chunks_and_hold() -> None:
    write(2 * CHUNK + 5)
    old = make_checkpoint(1)
    write(40)
    new = make_checkpoint(1)
    tree = tree_at(1, new.size)
    for index in (0, CHUNK - 1, CHUNK, 2 * CHUNK + 4, new.size - 1):
        leaf, root = leaves()[index], bytes(new.root)
        proof = tree.inclusion(index)
        assert included(leaf=leaf, index=index, size=new.size, proof=proof, root=root)
    assert consistent(
        old_size=old.size,
        new_size=new.size,
        old_root=bytes(old.root),
        new_root=bytes(new.root),
        proof=tree.consistency(old.size),
    )


def test_a_record_without_entries_is_not_signed() -> None:
    with pytest.raises(AuditError, match="no entry that could be signed"):
        make_checkpoint(7)


def test_a_broken_record_is_not_signed() -> None:
    write(5)
    tamper("UPDATE audit_entry SET actor_id = 9 WHERE sequence = 3")
    with pytest.raises(AuditError, match=r"broken, so it is not signed\. Entry 3 shows"):
        make_checkpoint(1)
    assert not Checkpoint.objects.exists()


def test_a_tail_that_was_cut_off_is_seen() -> None:
    write(5)
    make_checkpoint(1)
    tamper("DELETE FROM audit_entry WHERE sequence > 3")
    assert broken_now() == (4, Fault.CUT_OFF)
    with pytest.raises(AuditError, match="ends at entry 3; the newest checkpoint counts 5"):
        make_checkpoint(1)


def test_a_chain_that_was_made_anew_from_an_entry_on_is_seen() -> None:
    write(6)
    make_checkpoint(1)
    head = bytes(Entry.objects.get(sequence=3).previous_hash)
    for entry in list(Entry.objects.for_chain(1).filter(sequence__gte=3)):
        forged = bytes(entry.canonical).replace(b'"number":', b'"number":1')
        digest = entry_hash(head, forged)
        tamper(
            "UPDATE audit_entry SET canonical = %s, previous_hash = %s, hash = %s WHERE id = %s",
            *(forged, head, digest, entry.pk),
        )
        head = digest
    assert broken_now() == (1, Fault.MADE_ANEW)


@pytest.mark.parametrize("column", ["root", "head", "statement", "signature"])
def test_a_checkpoint_that_was_changed_is_seen(column: str) -> None:
    write(3)
    made = make_checkpoint(1)
    other = bytes(getattr(made, column))[:-1] + b"x"
    tamper(f"UPDATE audit_checkpoint SET {column} = %s", other)  # noqa: S608
    assert broken_now()[1] is Fault.CHECKPOINT
    write(1)
    with pytest.raises(AuditError, match="was changed"):
        make_checkpoint(1)


def test_a_root_beside_a_right_chain_is_seen_where_roots_are_built_again() -> None:
    """Only a holder of the key can sign one; the paper's root would be in the list all the same."""
    write(3)
    made = make_checkpoint(1)
    statement = bytes(made.statement).replace(bytes(made.root).hex().encode(), b"ab" * 32)
    tamper(
        "UPDATE audit_checkpoint SET root = %s, statement = %s, signature = %s",
        *(bytes.fromhex("ab" * 32), statement, keys.signer().sign(statement)),
    )
    assert verify_chain(1, roots=False).broken is None
    assert broken_now() == (1, Fault.CHECKPOINT)


@pytest.mark.parametrize("column", ["peaks", "chunks"])
def test_kept_hashes_that_were_changed_are_seen(column: str) -> None:
    write(CHUNK + 1)
    made = make_checkpoint(1)
    tamper(
        f"UPDATE audit_checkpoint SET {column} = %s",  # noqa: S608
        bytes(getattr(made, column))[:-1] + b"x",
    )
    assert broken_now()[1] is Fault.CHECKPOINT


def test_a_key_is_made_once_for_its_owner_alone(key_file: Path) -> None:
    with pytest.raises(AuditError, match=r"`manage\.py prepare` makes one"):
        keys.signer()
    row = keys.make_key()
    assert stat.S_IMODE(key_file.stat().st_mode) == 0o600
    assert keys.make_key() == row
    assert list(key_file.parent.iterdir()) == [key_file]
    key_file.chmod(0o644)
    with pytest.raises(AuditError, match="Others may read the key"):
        keys.signer()


def test_a_new_key_is_announced_by_the_old_one_and_both_verify(key_file: Path) -> None:
    old = keys.make_key()
    write(3)
    before = make_checkpoint(1)
    call_command("rotate_record_key", verbosity=0)
    new = SigningKey.objects.get(follows=old)
    announced = key_statement(public=bytes(new.public), made_at=new.made_at, follows=old.key)
    assert signed(announced, signature=bytes(new.endorsement), public=bytes(old.public))
    after = make_checkpoint(1)
    assert (before.key, after.key, after.size) == (old, new, before.size)
    assert Signer.from_pem(key_file.read_bytes()).public == bytes(new.public)
    write(2)
    make_checkpoint(1)
    assert verify_chain(1).broken is None


def test_checkpoints_and_keys_stand() -> None:
    write(1)
    made = make_checkpoint(1)
    for row in (made, made.key):
        with pytest.raises(AuditError, match="stands as it is"):
            row.delete()
    assert {
        f"audit_guard_audit_{t}_{e}"
        for t in ("checkpoint", "signingkey")
        for e in ("update", "delete")
    } <= present()


def present() -> set[str]:
    return {name for name, _ in triggers._present(connection)}


def test_the_night_signs_and_verifies_every_record() -> None:
    write(3)
    write(4, academy_id=2)
    nightly()
    assert sorted(Checkpoint.objects.values_list("academy_id", "size")) == [(1, 3), (2, 4)]
    found = RecordCheck.objects.order_by("academy_id")
    assert [(row.held, row.done, row.asked_by_id) for row in found] == [
        (True, 3, None),
        (True, 4, None),
    ]


def test_a_check_goes_on_in_steps_and_tells_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("academy.audit.checking.STEP", 100)
    write(CHUNK + 20)
    make_checkpoint(1)
    write(30)
    shares: list[int] = []
    save = RecordCheck.save

    def note(check: RecordCheck, *args: Any, **kwargs: Any) -> None:
        save(check, *args, **kwargs)
        shares.append(check.share)

    monkeypatch.setattr(RecordCheck, "save", note)
    check = start_check(academy_id=1, asked_by_id=3, whole=True)
    assert check.held
    assert sorted(set(shares)) == [0, 32, 65, 98, 100]
    assert newest_check(1) == check


def test_a_check_of_what_is_new_begins_at_the_newest_checkpoint() -> None:
    write(5)
    make_checkpoint(1)
    write(2)
    check = start_check(academy_id=1, asked_by_id=3, whole=False)
    assert (check.first, check.last, check.done, check.held) == (6, 7, 2, True)
    tamper("UPDATE audit_entry SET actor_id = 9 WHERE sequence = 7")
    check = start_check(academy_id=1, asked_by_id=3, whole=False)
    assert (check.broken_at, check.affected["first"], check.affected["last"]) == (7, 7, 7)


def test_what_is_in_doubt_reaches_to_the_next_checkpoint_that_fits() -> None:
    write(4)
    make_checkpoint(1)
    write(4)
    make_checkpoint(1)
    write(2)
    entry = Entry.objects.get(sequence=2)
    tamper(
        "UPDATE audit_entry SET canonical = %s WHERE id = %s",
        bytes(entry.canonical).replace(b"cohort", b"person"),
        entry.pk,
    )
    check = start_check(academy_id=1, asked_by_id=3, whole=True)
    assert (check.broken_at, check.affected["first"], check.affected["last"]) == (2, 2, 4)
    assert ["people.cohort", 4] in [list(row) for row in check.affected["subjects"]]


@pytest.mark.parametrize(
    ("sql", "first", "words"),
    [
        ("DELETE FROM audit_entry WHERE sequence > 5", 6, "ends at entry 5"),
        ("DELETE FROM audit_entry WHERE sequence = 8", 8, "Entry 8 is missing"),
        ("UPDATE audit_entry SET hash = previous_hash WHERE sequence = 8", 8, "was altered"),
    ],
)
def test_a_check_of_what_is_new_sees_that_what_it_begins_at_is_gone(
    sql: str, first: int, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    write(8)
    make_checkpoint(1)
    write(2)
    tamper(sql)
    start_check(academy_id=1, asked_by_id=None, whole=False)
    check = newest_check(1)
    assert check is not None
    assert (check.held, check.broken_at) == (False, first)
    assert words in check.sentence
    with pytest.raises(CommandError, match="not whole"):
        call_command("verify_record", "--new")
    assert words in capsys.readouterr().out
