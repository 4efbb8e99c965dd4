"""Random tamperings behind the site's back are all found, whatever is done to the stored rows.

One tampering is done to a record, looked for, and taken back; then comes the next.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection, transaction

from academy.audit import triggers
from academy.audit.checkpoints import make_checkpoint
from academy.audit.models import Entry
from academy.audit.verifying import verify_chain
from academy.craft.proof.chain import entry_hash
from tests.site.entries import recorded

ENTRIES, SIGNED = 24, 20
ONE_SEED = 51907734
Dice = random.Random


def run(sql: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        assert cursor.rowcount > 0


def pick(dice: Dice) -> Entry:
    return Entry.objects.get(academy_id=1, sequence=dice.randint(1, ENTRIES))


def flip(dice: Dice) -> str:
    """One bit of the content or of a hash."""
    entry, column = pick(dice), dice.choice(["canonical", "previous_hash", "hash"])
    data = bytearray(bytes(getattr(entry, column)))
    place, bit = dice.randrange(len(data)), dice.randrange(8)
    data[place] ^= 1 << bit
    run(f"UPDATE audit_entry SET {column} = %s WHERE id = %s", bytes(data), entry.pk)  # noqa: S608
    return f"bit {bit} of byte {place} of {column} of {entry.sequence}"


def flip_column(dice: Dice) -> str:
    """A displayed column to another value."""
    entry = pick(dice)
    column = dice.choice(
        ["actor_id", "about_id", "subject_id", "action", "subject_type", "request_id", "at"]
    )
    old = getattr(entry, column)
    if column == "at":
        new: Any = old.replace(microsecond=(old.microsecond + dice.randint(1, 9)) % 1_000_000)
        new = connection.ops.adapt_datetimefield_value(new)
    elif column.endswith("_id") and column != "request_id":
        new = dice.choice([None, (old or 0) + dice.randint(1, 9)])
        new = 99 if column == "subject_id" and new is None else new
        if new == old:
            new = 98
    else:
        new = old + dice.choice(['"', "x", " ", "\\", '","x":"', "é"])
    run(f"UPDATE audit_entry SET {column} = %s WHERE id = %s", new, entry.pk)  # noqa: S608
    return f"{column} of {entry.sequence} from {old!r} to {new!r}"


def swap(dice: Dice) -> str:
    """Two entries take each other's number."""
    first, second = dice.sample(range(1, ENTRIES + 1), 2)
    for old, new in ((first, 999), (second, first), (999, second)):
        run("UPDATE audit_entry SET sequence = %s WHERE academy_id = 1 AND sequence = %s", new, old)
    return f"{first} and {second}"


def delete(dice: Dice) -> str:
    """An entry goes; half the time those after it move up."""
    number, move = dice.randint(1, ENTRIES), dice.random() < 0.5
    run("DELETE FROM audit_entry WHERE academy_id = 1 AND sequence = %s", number)
    if move:
        for later in range(number + 1, ENTRIES + 1):
            run(
                "UPDATE audit_entry SET sequence = %s WHERE academy_id = 1 AND sequence = %s",
                later - 1,
                later,
            )
    # The last entry that nothing signed yet can go unseen, as it can from any list.
    return f"{number}, {'moved up' if move else 'left open'}"


def insert(dice: Dice) -> str:
    """A copy of an entry is put somewhere, with a hash that fits its place."""
    entry, place = pick(dice), dice.randint(1, ENTRIES)
    for later in range(ENTRIES, place - 1, -1):
        run(
            "UPDATE audit_entry SET sequence = %s WHERE academy_id = 1 AND sequence = %s",
            later + 1,
            later,
        )
    before = Entry.objects.filter(academy_id=1, sequence=place - 1).first()
    head = bytes(before.hash) if before else bytes(Entry.objects.earliest("id").previous_hash)
    content = bytes(entry.canonical)
    run(
        "INSERT INTO audit_entry (academy_id, sequence, at, actor_id, about_id, request_id, "
        "action, subject_type, subject_id, canonical, previous_hash, hash) SELECT academy_id, "
        "%s, at, actor_id, about_id, request_id, action, subject_type, subject_id, canonical, "
        "%s, %s FROM audit_entry WHERE id = %s",
        *(place, head, entry_hash(head, content), entry.pk),
    )
    return f"a copy of {entry.sequence} at {place}"


def truncate(dice: Dice) -> str:
    """The tail is cut off below what was signed, or an entry's content is cut short."""
    if dice.random() < 0.5:
        number = dice.randint(0, SIGNED - 1)
        run("DELETE FROM audit_entry WHERE academy_id = 1 AND sequence > %s", number)
        return f"after {number}"
    entry = pick(dice)
    content = bytes(entry.canonical)
    short = content[: dice.randrange(len(content))]
    run("UPDATE audit_entry SET canonical = %s WHERE id = %s", short, entry.pk)
    return f"{entry.sequence} to {len(short)} bytes"


def reformat(dice: Dice) -> str:
    """The same JSON in another spelling; half the time the chain is made anew from there."""
    entry, again = pick(dice), dice.random() < 0.5
    said = json.loads(bytes(entry.canonical))
    other = json.dumps(said, indent=dice.choice([None, 1])).encode()
    run("UPDATE audit_entry SET canonical = %s WHERE id = %s", other, entry.pk)
    if again and entry.sequence <= SIGNED:
        head = bytes(entry.previous_hash)
        for later in list(Entry.objects.for_chain(1).filter(sequence__gte=entry.sequence)):
            digest = entry_hash(head, bytes(later.canonical))
            run(
                "UPDATE audit_entry SET previous_hash = %s, hash = %s WHERE id = %s",
                head,
                digest,
                later.pk,
            )
            head = digest
    return f"{entry.sequence}, {'made anew' if again else 'alone'}"


KINDS: list[Callable[[Dice], str]] = [
    flip,
    flip_column,
    swap,
    delete,
    insert,
    truncate,
    reformat,
]


def is_last_unsigned(kind: Callable[[Dice], str], told: str) -> bool:
    """The newest entry, which no checkpoint covers, goes: that leaves a shorter, whole chain."""
    return kind is delete and told.startswith(f"{ENTRIES},")


def tamper_and_look(times: int, seed: int) -> list[str]:
    """What was not found."""
    dice = random.Random(seed)  # noqa: S311  (a test throws it again)
    with transaction.atomic():
        for number in range(ENTRIES):
            recorded(
                academy_id=1,
                actor_id=number % 3 or None,
                action="audit.test.done",
                subject=("people.cohort", number),
                details={"number": number, "person": number % 5},
            )
            if number + 1 == SIGNED:
                make_checkpoint(1)
    triggers.remove()
    unseen = []
    for time in range(times):
        kind = KINDS[time % len(KINDS)]
        point = transaction.savepoint()
        told = kind(dice)
        if verify_chain(1).broken is None and not is_last_unsigned(kind, told):
            unseen.append(f"{time} {kind.__name__}: {told}")
        transaction.savepoint_rollback(point)
    assert verify_chain(1).broken is None
    return unseen


def test_random_tamperings_are_all_found() -> None:
    assert tamper_and_look(280, ONE_SEED) == []


@pytest.mark.deep
def test_ten_thousand_random_tamperings_are_all_found() -> None:
    assert tamper_and_look(10_000, ONE_SEED + 1) == []
