"""What is signed, in canonical JSON: checkpoints, and keys that follow another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from academy.audit.envelope import moment
from academy.craft.proof.canonical import canonical

if TYPE_CHECKING:
    from datetime import datetime

CHECKPOINT: Final = "blockwork checkpoint 1"
KEY: Final = "blockwork record key 1"


def checkpoint_statement(
    *, academy_id: int, size: int, root: bytes, head: bytes, made_at: datetime, key: str
) -> bytes:
    """A checkpoint as it is signed: nothing in it is personal."""
    return canonical(
        {
            "academy": academy_id,
            "at": moment(made_at),
            "head": head.hex(),
            "key": key,
            "root": root.hex(),
            "size": size,
            "type": CHECKPOINT,
        }
    )


def key_statement(*, public: bytes, made_at: datetime, follows: str) -> bytes:
    """A new key as the key before it signs it."""
    return canonical(
        {"at": moment(made_at), "follows": follows, "public": public.hex(), "type": KEY}
    )
