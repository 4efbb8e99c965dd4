"""Checkpoints: how far an academy's chain had come at a moment, signed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Q

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.audit.statements import checkpoint_statement
from academy.craft.proof.chain import HASH_BYTES
from academy.craft.proof.merkle import Edge
from academy.craft.proof.signing import public_pem, signed

if TYPE_CHECKING:
    from collections.abc import Iterable


class SigningKey(AppendOnlyModel):
    """A public key under which checkpoints are signed; its private half is in a file outside.

    The key that follows another is announced under it: `endorsement` is the earlier key's
    signature of `statements.key_statement`, so that whoever trusted the one can trust the other.
    """

    key = models.CharField(max_length=16, unique=True, help_text="Digits of the key's SHA-256.")
    public = models.BinaryField()
    made_at = models.DateTimeField()
    follows = models.OneToOneField("self", models.PROTECT, null=True, related_name="followed_by")
    endorsement = models.BinaryField(default=b"")

    objects = AppendOnlyQuerySet["SigningKey"].as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.key

    @property
    def pem(self) -> str:
        """The public key as a file that OpenSSL reads."""
        return public_pem(bytes(self.public)).decode()


class CheckpointQuerySet(AppendOnlyQuerySet["Checkpoint"]):
    def of(self, academy_id: int) -> CheckpointQuerySet:
        """An academy's checkpoints with their keys, the earliest first."""
        return self.filter(academy_id=academy_id).select_related("key").order_by("size", "pk")

    def newest(self, academy_id: int) -> Checkpoint | None:
        return self.of(academy_id).last()


class Checkpoint(AppendOnlyModel):
    """The first `size` entries of an academy's chain: their Merkle root and the last hash, signed.

    `statement` are the signed bytes. `peaks` are the right edge of the tree, one hash of 32 bytes
    after another, from which the next checkpoint goes on; `chunks` the hashes of those 256-leaf
    subtrees that were completed since the checkpoint before, from which proofs are made.
    """

    academy_id = models.BigIntegerField()
    size = models.PositiveBigIntegerField()
    root = models.BinaryField()
    head = models.BinaryField()
    made_at = models.DateTimeField()
    key = models.ForeignKey(SigningKey, models.PROTECT, related_name="checkpoints")
    statement = models.BinaryField()
    signature = models.BinaryField()
    peaks = models.BinaryField()
    chunks = models.BinaryField(default=b"")

    objects = CheckpointQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["academy_id", "size", "key"], name="audit_checkpoint_once_a_size"
            ),
            models.CheckConstraint(condition=Q(size__gte=1), name="audit_checkpoint_of_something"),
        ]

    def __str__(self) -> str:
        return f"checkpoint of {self.size} entries"

    @property
    def root_hex(self) -> str:
        return bytes(self.root).hex()

    @property
    def edge(self) -> Edge:
        """The right edge of the tree; `ProofError` where the stored hashes do not fit the size."""
        return Edge(self.size, tuple(hashes(bytes(self.peaks))))

    @property
    def holds(self) -> bool:
        """Whether the statement says what the columns say, and the key signed it."""
        said = checkpoint_statement(
            academy_id=self.academy_id,
            size=self.size,
            root=bytes(self.root),
            head=bytes(self.head),
            made_at=self.made_at,
            key=self.key.key,
        )
        return bytes(self.statement) == said and signed(
            said, signature=bytes(self.signature), public=bytes(self.key.public)
        )


def hashes(joined: bytes) -> list[bytes]:
    """Hashes that were kept one after another."""
    return [joined[at : at + HASH_BYTES] for at in range(0, len(joined), HASH_BYTES)]


def joined(parts: Iterable[bytes]) -> bytes:
    """The opposite of `hashes`."""
    return b"".join(parts)
