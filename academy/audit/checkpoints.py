"""Making checkpoints, and proving by them that an entry is in the record, or that it only grew."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from django.db import router, transaction
from django.utils import timezone

from academy.audit import keys
from academy.audit.appending import lock_chain
from academy.audit.errors import AuditError
from academy.audit.following import follow
from academy.audit.models import Checkpoint, Entry
from academy.audit.models.checkpoints import hashes, joined
from academy.audit.places import Place, beginning
from academy.audit.statements import checkpoint_statement
from academy.craft.proof.errors import ProofError
from academy.craft.proof.merkle import CHUNK, Tree, complete_root, leaf_hash

if TYPE_CHECKING:
    from academy.audit.places import Followed
    from academy.craft.proof.signing import Signer


def make_checkpoint(academy_id: int) -> Checkpoint:
    """Verify what is new since the newest checkpoint, and sign the record as it is now.

    Where nothing is new and the key is the same, the newest one is given back. Raises
    `AuditError` where there is nothing to sign, no key, or the record is broken: what is
    signed was verified.
    """
    key = keys.signer()
    row = keys.known(key)
    while True:
        newest = Checkpoint.objects.newest(academy_id)
        last = Entry.objects.for_history(academy_id).values_list("sequence", flat=True).first() or 0
        if newest is not None and last == newest.size and newest.key == row:
            return newest
        # Entries never change, so following needs no lock, however long it takes.
        found = follow(academy_id, _start(academy_id, newest, last), last)
        if found.broken:
            raise AuditError(f"The record is broken, so it is not signed. {found.broken.sentence}")
        if found.place.sequence == 0:
            raise AuditError("The record holds no entry that could be signed.")
        using = router.db_for_write(Checkpoint)
        with transaction.atomic(using):
            lock_chain(academy_id, using)
            # Each goes on from the one before: two that went on from the same one would both
            # keep the chunks between. Where another was signed meanwhile, it goes on from that.
            if Checkpoint.objects.newest(academy_id) == newest:
                return _signed(academy_id, found, key)


def _start(academy_id: int, newest: Checkpoint | None, last: int) -> Place:
    """Where to follow on from the newest checkpoint."""
    if newest is None:
        return beginning(academy_id, tree=True)
    if last < newest.size:
        raise AuditError(
            f"The record is broken, so it is not signed. It ends at entry {last}; "
            f"the newest checkpoint counts {newest.size}."
        )
    return place_of(newest)


def place_of(checkpoint: Checkpoint) -> Place:
    """Where to go on from a checkpoint. Raises `AuditError` where it is not what was signed."""
    try:
        edge = checkpoint.edge
    except ProofError as error:
        raise AuditError(f"The {checkpoint} was changed: {error}") from error
    if not checkpoint.holds or edge.root != bytes(checkpoint.root):
        raise AuditError(f"The {checkpoint} was changed: its signature does not hold.")
    return Place(checkpoint.size, bytes(checkpoint.head), edge)


def after(checkpoint: Checkpoint) -> Place:
    """Where to verify on from a checkpoint after which none was made, so without its tree.

    Raises `AuditError` where it is not what was signed.
    """
    return replace(place_of(checkpoint), edge=None)


def tree_at(academy_id: int, size: int) -> Tree:
    """The tree of the first `size` entries, from the kept chunks and the entries of a few.

    `size` is that of a checkpoint.
    """
    rows = Checkpoint.objects.of(academy_id).filter(size__lte=size)
    kept = [h for part in rows.values_list("chunks", flat=True) for h in hashes(bytes(part))]

    @lru_cache(maxsize=8)
    def leaves(chunk: int) -> list[bytes]:
        numbers = (chunk * CHUNK + 1, min((chunk + 1) * CHUNK, size))
        entries = Entry.objects.for_chain(academy_id).filter(sequence__range=numbers)
        return [leaf_hash(bytes(e)) for e in entries.values_list("canonical", flat=True)]

    def subtree(start: int, count: int) -> bytes:
        if count >= CHUNK:
            parts = kept[start // CHUNK : (start + count) // CHUNK]
        else:
            chunk, inside = divmod(start, CHUNK)
            parts = leaves(chunk)[inside : inside + count]
        return complete_root(parts)

    return Tree(size, subtree)


def _signed(academy_id: int, found: Followed, key: Signer) -> Checkpoint:
    edge = found.place.edge
    assert edge is not None  # noqa: S101  (every start above has one)
    row, now = keys.known(key), timezone.now()
    statement = checkpoint_statement(
        academy_id=academy_id,
        size=edge.size,
        root=edge.root,
        head=found.place.head,
        made_at=now,
        key=row.key,
    )
    return Checkpoint.objects.create(
        academy_id=academy_id,
        size=edge.size,
        root=edge.root,
        head=found.place.head,
        made_at=now,
        key=row,
        statement=statement,
        signature=key.sign(statement),
        peaks=joined(edge.peaks),
        chunks=joined(found.place.chunks),
    )
