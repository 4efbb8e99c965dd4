"""The part of a pack that proves it: entries, inclusion, checkpoints, consistency, public keys."""

from __future__ import annotations

import json
from functools import cache, partial
from typing import TYPE_CHECKING, Any

from academy.audit.checkpoints import make_checkpoint, tree_at
from academy.audit.errors import AuditError
from academy.audit.models import Checkpoint
from academy.craft.proof.merkle import consistent, included, leaf_hash

if TYPE_CHECKING:
    from academy.audit.models import Entry
    from academy.craft.proof.merkle import Tree

Files = dict[str, bytes]


def proof_files(academy_id: int, entries: list[Entry]) -> Files:
    """Each entry with its proof to the first checkpoint after it, and from there to the newest.

    A checkpoint is made where the newest does not cover them all. A proof that does not hold is
    not given out: `AuditError`.
    """
    last = max(entry.sequence for entry in entries)
    newest = Checkpoint.objects.newest(academy_id)
    if newest is None or newest.size < last:
        newest = make_checkpoint(academy_id)
    rows = list(Checkpoint.objects.of(academy_id))
    files: Files = {}
    used = {newest.size: newest}
    # Many entries lie under one checkpoint: its tree is read once for all of them.
    tree = cache(partial(tree_at, academy_id))
    for entry in entries:
        over = next(row for row in rows if row.size >= entry.sequence)
        used[over.size] = over
        files |= _entry(tree(over.size), entry, over)
    for row in used.values():
        files |= _checkpoint(row)
        if row.size < newest.size:
            files |= _consistency(tree(newest.size), row, newest)
    return files


def _entry(tree: Tree, entry: Entry, over: Checkpoint) -> Files:
    leaf = leaf_hash(bytes(entry.canonical))
    index, root = entry.sequence - 1, bytes(over.root)
    proof = tree.inclusion(index)
    if not included(leaf=leaf, index=index, size=over.size, proof=proof, root=root):
        raise AuditError(f"Entry {entry.sequence} cannot be proved. Verify the record first.")
    name = f"{entry.sequence:06d}.json"
    said = {"leaf": leaf.hex(), "index": index, "size": over.size, "root": root.hex()}
    return {
        f"record/entries/{name}": bytes(entry.canonical),
        f"record/proofs/{name}": as_json({**said, "proof": [step.hex() for step in proof]}),
    }


def _checkpoint(row: Checkpoint) -> Files:
    return {
        f"record/checkpoints/{row.size}.json": bytes(row.statement),
        f"record/checkpoints/{row.size}.sig": bytes(row.signature),
        f"keys/{row.key.key}.pem": row.key.pem.encode(),
    }


def _consistency(tree: Tree, old: Checkpoint, new: Checkpoint) -> Files:
    proof = tree.consistency(old.size)
    roots = bytes(old.root), bytes(new.root)
    if not consistent(
        old_size=old.size, new_size=new.size, old_root=roots[0], new_root=roots[1], proof=proof
    ):
        raise AuditError(
            f"The checkpoints of {old.size} and {new.size} entries do not fit. "
            "Verify the record first."
        )
    said = {"old_size": old.size, "new_size": new.size, "proof": [step.hex() for step in proof]}
    return {f"record/consistency/{old.size}-{new.size}.json": as_json(said)}


def as_json(value: Any) -> bytes:
    return (json.dumps(value, indent=1, ensure_ascii=False, default=str) + "\n").encode()
