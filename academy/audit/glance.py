"""Most of a chain at a glance: on SQLite, whole blocks of stored entries are found right at once.

The database spells the displayed columns as the canonical bytes do, and a block is right where
numbers, links, hashes and spellings fit throughout. A block that is not right in this way is left
alone: it may be right after all, and the close look of `academy.audit.following` says what is
wrong. No Django here, so that `academy.audit.part` starts at once.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    Row = tuple[int, bytes, bytes, bytes, bytes]

BLOCK: Final = 250
"""Rows at once: few enough that they are still in the processor's cache when they are compared."""

QUERY: Final = f"""
SELECT sequence, previous_hash, canonical, hash, CAST(json_object(
    'about', about_id, 'academy', academy_id, 'action', action, 'actor', actor_id, 'at', at,
    'request', request_id, 'sequence', sequence, 'subject', json_array(subject_type, subject_id)
) AS BLOB)
FROM audit_entry WHERE academy_id = %s AND sequence > %s AND sequence <= %s
ORDER BY sequence LIMIT {BLOCK}
"""  # noqa: S608
"""For an academy: what comes after one number and not after another. An error of the database
says that a column holds bytes where text should be, so that it cannot be spelled."""

_DETAILS: Final = b'Z","details":'
_REQUEST: Final = b',"request":'


def fits(rows: Sequence[Row], *, head: bytes, sequence: int) -> bool:
    """Whether the rows continue the entry `sequence`, whose hash is `head`, and say what they show.

    The one piece that is run for every entry. False means: look closely.
    """
    try:
        numbers, previous, contents, stored, shown = zip(*rows, strict=True)
        if numbers != tuple(range(sequence + 1, sequence + 1 + len(rows))):
            return False
        if previous[0] != head or previous[1:] != stored[:-1]:
            return False
        pairs = zip(previous, contents, strict=True)
        if [sha256(before + content).digest() for before, content in pairs] != list(stored):
            return False
        # Within a string a quotation mark is written \", so neither the first ,"details": nor the
        # last ,"request": can be anything but the key; and no line break stands in either list.
        said = [
            content[: content.find(_DETAILS)] + b'"' + content[content.rfind(_REQUEST) :]
            for content in contents
        ]
        # Times are stored with a space where the bytes have a T, and no code has either; where
        # one has, the count is another and somebody looks closely.
        if [line.count(b"T") for line in said] != [1] * len(rows):
            return False
        return b"\n".join(shown).replace(b" ", b"T") == b"\n".join(said)
    except TypeError:
        # Something is stored as another type than any entry has.
        return False
