"""Following stored entries fast: hashes, links, numbers and displayed columns in one pass.

On SQLite a glance is enough for most blocks (`academy.audit.glance`). Otherwise the columns are
read as they are stored, past the ORM, and written into the bytes that the canonical form must
begin and end with. Only an entry that does not fit so is looked at closely (it may be right, with
a quotation mark in a column); the close look alone says what is wrong.
"""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import UTC, datetime
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Final

from django.db import DatabaseError, connections, router
from django.db.models import Count
from django.utils.dateparse import parse_datetime

from academy.audit import glance
from academy.audit.envelope import Envelope
from academy.audit.models import Entry
from academy.audit.places import Followed, Place
from academy.craft.proof.chain import Break, Fault, Link, wrong
from academy.craft.proof.errors import ProofError
from academy.craft.proof.merkle import leaf_hash

if TYPE_CHECKING:
    from collections.abc import Iterator

_BEFORE: Final = '{"about":%s,"academy":%d,"action":"%s","actor":%s,"at":"%sZ","details":'
_AFTER: Final = ',"request":"%s","sequence":%s,"subject":["%s",%s]}'
_QUERY: Final = (
    "SELECT sequence, previous_hash, canonical, hash, coalesce({about}, 'null'), action, "
    "coalesce({actor}, 'null'), {at}, request_id, subject_type, subject_id FROM audit_entry "
    "WHERE academy_id = %s AND sequence > %s AND sequence <= %s ORDER BY sequence, id LIMIT {rows}"
)
_QUERIES: Final = {
    "sqlite": _QUERY.format(
        about="about_id", actor="actor_id", at="replace(at, ' ', 'T')", rows=glance.BLOCK
    ),
    "postgresql": _QUERY.format(
        about="about_id::text",
        actor="actor_id::text",
        at="""to_char(at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US')""",
        rows=1_000,
    ),
}
"""An entry's columns as they stand in its bytes; the same values as in `glance.QUERY`."""

_AS_BYTES: Final = re.sub(
    r"replace\(at, ' ', 'T'\)|action|request_id|subject_type",
    r"CASE typeof(\g<0>) WHEN 'text' THEN CAST(\g<0> AS BLOB) END",
    _QUERIES["sqlite"],
)
_TEXTS: Final = (5, 7, 8, 9)
"""Which columns of the query are text."""


def follow(academy_id: int, start: Place, last: int) -> Followed:
    """Follow the chain from the entry after `start` to number `last`, or to its first wrong one.

    Entries after `last` are left alone. Where the chain ends before, nothing is said: a
    checkpoint knows how many there must be.
    """
    way = _Way(start)
    for rows, right in _blocks(academy_id, way, last):
        if right:
            way.go([row[2] for row in rows], rows[-1][3])
            continue
        count, broken = _right(rows, way.head, way.sequence, academy_id)
        if count:
            way.go([row[2] for row in rows[:count]], rows[count - 1][3])
        if broken:
            return Followed(way.place, broken)
    return Followed(way.place, twice(academy_id, start, way.sequence))


class _Way:
    """A place that moves along the chain."""

    def __init__(self, start: Place) -> None:
        self.sequence, self.head, self._edge = start.sequence, start.head, start.edge
        self._chunks = list(start.chunks)

    def go(self, contents: list[bytes], head: bytes) -> None:
        """Past entries with these contents, the last of which has this hash."""
        self.sequence, self.head = self.sequence + len(contents), head
        if self._edge is not None:
            self._edge, completed = self._edge.grown([leaf_hash(each) for each in contents])
            self._chunks += completed

    @property
    def place(self) -> Place:
        return Place(self.sequence, self.head, self._edge, tuple(self._chunks))


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


def _blocks(academy_id: int, way: _Way, last: int) -> Iterator[tuple[list[tuple[Any, ...]], bool]]:
    """The stored rows after the way so far, some at a time, and whether a glance found them right.

    Those that it did not find right come again with every column, to be looked at closely.
    """
    connection = connections[router.db_for_read(Entry)]
    with connection.cursor() as cursor:
        while way.sequence < last:
            after = [academy_id, way.sequence, last]
            if connection.vendor == "sqlite":
                # A column that cannot be spelled stops the glance; the close look names it.
                with suppress(DatabaseError):
                    cursor.execute(glance.QUERY, after)
                    rows = cursor.fetchall()
                    if not rows:
                        return
                    if glance.fits(rows, head=way.head, sequence=way.sequence):
                        yield rows, True
                        continue
            try:
                cursor.execute(_QUERIES[connection.vendor], after)
                rows = cursor.fetchall()
            except DatabaseError:
                # Text that is none: SQLite keeps any bytes as text.
                cursor.execute(_AS_BYTES, after)
                rows = [_decoded(row) for row in cursor.fetchall()]
            if not rows:
                return
            yield rows if connection.vendor == "sqlite" else [_plain(row) for row in rows], False


def twice(academy_id: int, start: Place, number: int) -> Break | None:
    """An entry between `start` and `number` that is there twice.

    Only where the database no longer forbids it. Everything else about the entries is right.
    """
    rows = Entry.objects.for_chain(academy_id).filter(
        sequence__gt=start.sequence, sequence__lte=number
    )
    if rows.count() == number - start.sequence:
        return None
    again = rows.values("sequence").annotate(rows=Count("pk")).filter(rows__gt=1)
    first = again.order_by("sequence").values_list("sequence", flat=True)[0]
    return Break(first, Fault.REPEATED, f"Entry {first} is there twice or out of order.")


def _plain(row: tuple[Any, ...]) -> tuple[Any, ...]:
    return (row[0], bytes(row[1]), bytes(row[2]), bytes(row[3]), *row[4:])


def _decoded(row: tuple[Any, ...]) -> tuple[Any, ...]:
    """A row of `_AS_BYTES` with its texts; what is none stays as it is, for the close look."""
    values = list(row)
    for place in _TEXTS:
        with suppress(UnicodeDecodeError, AttributeError):
            values[place] = values[place].decode()
    return tuple(values)


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
