"""Following stored entries fast: hashes, links, numbers and displayed columns in one pass.

The columns are read as they are stored, past the ORM, and written into the bytes that the
canonical form must begin and end with. Only an entry that does not fit so is looked at closely
(it may be right, with a quotation mark in a column); the close look alone says what is wrong.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Final

from django.db import connections, router
from django.db.models import Count
from django.utils.dateparse import parse_datetime

from academy.audit.envelope import Envelope
from academy.audit.models import Entry
from academy.craft.proof.chain import Break, Fault, Link, genesis, wrong
from academy.craft.proof.errors import ProofError
from academy.craft.proof.merkle import Edge, leaf_hash

if TYPE_CHECKING:
    from collections.abc import Iterator

ROWS_AT_ONCE: Final = 1_000
_BEFORE: Final = '{"about":%s,"academy":%d,"action":"%s","actor":%s,"at":"%sZ","details":'
_AFTER: Final = ',"request":"%s","sequence":%s,"subject":["%s",%s]}'
_AT: Final = {
    "sqlite": "replace(at, ' ', 'T')",
    "postgresql": """to_char(at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US')""",
}
_COLUMNS: Final = (
    "sequence, previous_hash, canonical, hash, coalesce({text_about}, 'null'), action, "
    "coalesce({text_actor}, 'null'), {at}, request_id, subject_type, subject_id"
)


@dataclass(frozen=True, slots=True)
class Place:
    """How far a chain was followed: the last entry's hash, and the tree so far if it is grown.

    `chunks` are the subtrees of 256 leaves that were completed since the last checkpoint.
    """

    sequence: int
    head: bytes
    edge: Edge | None = None
    chunks: tuple[bytes, ...] = ()


@dataclass(frozen=True, slots=True)
class Followed:
    """Where following ended, and the first wrong entry."""

    place: Place
    broken: Break | None = None


def beginning(academy_id: int, *, tree: bool) -> Place:
    """The place before the first entry."""
    return Place(0, genesis(academy_id), Edge() if tree else None)


def follow(academy_id: int, start: Place, last: int) -> Followed:
    """Follow the chain from the entry after `start` to number `last`, or to its first wrong one.

    Entries after `last` are left alone. Where the chain ends before, nothing is said: a
    checkpoint knows how many there must be.
    """
    head, number, edge = start.head, start.sequence, start.edge
    chunks = list(start.chunks)
    for rows in _stretches(academy_id, start.sequence, last):
        right, broken = _right(rows, head, number, academy_id)
        number += right
        if right:
            head = rows[right - 1][3]
        if edge is not None:
            edge, completed = edge.grown([leaf_hash(row[2]) for row in rows[:right]])
            chunks += completed
        if broken:
            return Followed(Place(number, head, edge, tuple(chunks)), broken)
    place = Place(number, head, edge, tuple(chunks))
    return Followed(place, _twice(academy_id, start, last, number))


def _right(
    rows: list[tuple[Any, ...]], head: bytes, number: int, academy_id: int
) -> tuple[int, Break | None]:
    """How many rows continue entry `number`, whose hash is `head`, and what is wrong after them."""
    done = 0
    while done < len(rows):
        done, head = _as_written(rows, done, head, number, academy_id)
        if done == len(rows):
            break
        broken = closely(
            rows[done], academy_id=academy_id, previous=head, expected=number + done + 1
        )
        if broken:
            return done, broken
        head, done = rows[done][3], done + 1
    return done, None


def _as_written(
    rows: list[tuple[Any, ...]], done: int, head: bytes, number: int, academy_id: int
) -> tuple[int, bytes]:
    """The first row from `done` on that needs a closer look, and the hash before it.

    The one loop that is run for every entry: a million times for a million entries.
    """
    before = _BEFORE.replace("%d", str(academy_id))
    number += done
    try:
        for sequence, previous, content, stored, about, action, actor, at, request, kind, of in (
            rows[done:] if done else rows
        ):
            number += 1
            if (
                sequence != number
                or previous != head
                or sha256(head + content).digest() != stored
                or not content.startswith((before % (about, action, actor, at)).encode())
                or not content.endswith((_AFTER % (request, number, kind, of)).encode())
                # A quotation mark would let one column pass for two.
                or '"' in action
                or '"' in request
                or '"' in kind
                or '"' in at
            ):
                break
            head = stored
            done += 1
    except TypeError:
        # Something is stored as another type than any entry has; the closer look says what.
        return done, head
    return done, head


def closely(
    row: tuple[Any, ...], *, academy_id: int, previous: bytes, expected: int
) -> Break | None:
    """What is wrong with a stored row, exactly; None where it is right after all."""
    sequence, before, content, stored, about, action, actor, at, *rest = row
    request, kind, subject = rest
    if not all(isinstance(value, bytes) for value in (before, content, stored)):
        sentence = f"Entry {sequence} was altered: its content is not stored as bytes."
        return Break(sequence, Fault.ALTERED, sentence)
    link = Link(sequence, content, before, stored)
    broken = wrong(link, previous=previous, expected=expected)
    if broken:
        return broken
    moment = _moment(at)
    if moment is not None:
        envelope = Envelope(
            academy_id=academy_id,
            at=moment,
            actor_id=_id(actor),
            about_id=_id(about),
            request_id=request,
            action=action,
            subject_type=kind,
            subject_id=subject,
            sequence=sequence,
        )
        # A column of a kind that no entry has cannot be written as JSON: it was changed.
        with suppress(ProofError):
            link = Link(sequence, content, before, stored, envelope.around())
            return wrong(link, previous=previous, expected=expected)
    sentence = f"Entry {sequence} shows something other than what was recorded: a column changed."
    return Break(sequence, Fault.COLUMN, sentence)


def _stretches(academy_id: int, after: int, last: int) -> Iterator[list[tuple[Any, ...]]]:
    """The stored rows in the order of the chain, some at a time."""
    connection = connections[router.db_for_read(Entry)]
    vendor = connection.vendor
    text = "{}::text" if vendor == "postgresql" else "{}"
    columns = _COLUMNS.format(
        at=_AT[vendor], text_about=text.format("about_id"), text_actor=text.format("actor_id")
    )
    query = (
        f"SELECT {columns} FROM audit_entry WHERE academy_id = %s AND sequence > %s "  # noqa: S608
        f"AND sequence <= %s ORDER BY sequence, id LIMIT {ROWS_AT_ONCE}"
    )
    with connection.cursor() as cursor:
        while after < last:
            cursor.execute(query, [academy_id, after, last])
            rows = cursor.fetchall()
            if not rows:
                return
            yield rows if vendor == "sqlite" else [_plain(row) for row in rows]
            after = rows[-1][0]


def _twice(academy_id: int, start: Place, last: int, number: int) -> Break | None:
    """An entry that is there twice, where the database no longer forbids it."""
    rows = Entry.objects.for_chain(academy_id).filter(
        sequence__gt=start.sequence, sequence__lte=last
    )
    if rows.count() == number - start.sequence:
        return None
    twice = rows.values("sequence").annotate(rows=Count("pk")).filter(rows__gt=1)
    first = twice.order_by("sequence").values_list("sequence", flat=True)[0]
    return Break(first, Fault.REPEATED, f"Entry {first} is there twice or out of order.")


def _plain(row: tuple[Any, ...]) -> tuple[Any, ...]:
    return (row[0], bytes(row[1]), bytes(row[2]), bytes(row[3]), *row[4:])


def _moment(at: object) -> datetime | None:
    try:
        found = parse_datetime(str(at))
    except ValueError:
        return None
    if found is None:
        return None
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def _id(value: object) -> Any:
    """A nullable id as it came: a number, or text of one."""
    if value == "null":
        return None
    return int(value) if isinstance(value, str) and value.isdigit() else value
