"""Places in a chain, between which it is followed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.proof.chain import genesis
from academy.craft.proof.merkle import Edge

if TYPE_CHECKING:
    from academy.craft.proof.chain import Break


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
