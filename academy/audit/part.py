"""A part of a chain gone along by a process of its own: `python -m academy.audit.part`.

It reads what to do as JSON from its input and answers with JSON (`Asked`, `Answer`), without
Django, which would take longer to start than the work takes. It says nothing about a fault: it
ends before the block that does not fit, and `academy.audit.abreast` goes on from there itself.
"""

from __future__ import annotations

import gc
import json
import sqlite3
import sys
from typing import TYPE_CHECKING, TypedDict
from urllib.parse import quote

from academy.audit.glance import QUERY, fits
from academy.craft.proof.merkle import CHUNK, complete_root, leaf_hash

if TYPE_CHECKING:
    from collections.abc import Iterator


class Asked(TypedDict):
    """Go along the chain in the SQLite file from the entry `after`, whose hash is `head`.

    `after` is a multiple of 256; `stops` are rising numbers after it. `tree`: hash leaves too.
    """

    path: str
    academy: int
    after: int
    head: str
    stops: list[int]
    tree: bool


class Stop(TypedDict):
    """A stop that was reached: the hash there, and the leaf hashes since the last whole chunk."""

    sequence: int
    head: str
    leaves: str


class Answer(TypedDict):
    """The stops that were reached, and the hashes of the whole chunks from the beginning."""

    reached: list[Stop]
    chunks: str


def gone_along(asked: Asked) -> Answer:
    """Go as far as everything fits."""
    uri = f"file:{quote(asked['path'])}?mode=ro"
    connection = sqlite3.connect(uri, uri=True)
    connection.execute("PRAGMA mmap_size = 2147483648")
    head = bytes.fromhex(asked["head"])
    leaves: list[bytes] = []
    chunks: list[bytes] = []
    reached: list[Stop] = []
    after = asked["after"]
    for stop in asked["stops"]:
        for contents, last, digest in _blocks(connection, asked["academy"], after, stop, head):
            after, head = last, digest
            if asked["tree"]:
                leaves += [leaf_hash(content) for content in contents]
                if len(leaves) >= CHUNK:
                    chunks.append(complete_root(leaves[:CHUNK]))
                    del leaves[:CHUNK]
        if after < stop:
            break
        said = Stop(sequence=stop, head=head.hex(), leaves=b"".join(leaves).hex())
        reached.append(said)
    return Answer(reached=reached, chunks=b"".join(chunks).hex())


def _blocks(
    connection: sqlite3.Connection, academy: int, after: int, stop: int, head: bytes
) -> Iterator[tuple[list[bytes], int, bytes]]:
    """Contents, last number and last hash of each block that fits, up to the first that does not.

    A block has fewer rows than a chunk, so one block completes at most one chunk.
    """
    query = QUERY.replace("%s", "?")
    while after < stop:
        try:
            rows = connection.execute(query, (academy, after, stop)).fetchall()
        except sqlite3.Error:
            return
        if not rows or not fits(rows, head=head, sequence=after):
            return
        after, head = rows[-1][0], rows[-1][3]
        yield [row[2] for row in rows], after, head


if __name__ == "__main__":
    # Rows come and go by the million, and none of them points to itself.
    gc.disable()
    json.dump(gone_along(json.load(sys.stdin)), sys.stdout)
