"""Merkle trees of RFC 6962 (section 2.1) and RFC 9162 (section 2.1): roots and proofs.

A tree is never held whole. Its right edge (`Edge`) is enough to add leaves and to give the root,
and subtrees of `CHUNK` leaves whose hashes were kept are enough to prove, with the leaves of one
chunk read again. All hashes have 32 bytes.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from academy.craft.proof.errors import ProofError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

CHUNK: Final = 256
"""Leaves below one kept hash: a power of two, so that it is a node of every tree that holds it."""

EMPTY_ROOT: Final = sha256().digest()


def leaf_hash(data: bytes) -> bytes:
    """SHA-256(0x00 ‖ data): a leaf can never pass for an inner node (RFC 6962, 2.1)."""
    return sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """SHA-256(0x01 ‖ left ‖ right)."""
    return sha256(b"\x01" + left + right).digest()


@dataclass(frozen=True, slots=True)
class Edge:
    """The right edge of a tree: how many leaves, and its complete subtrees, the largest first.

    There is one subtree for each bit of `size` that is set, of as many leaves as the bit counts.
    """

    size: int = 0
    peaks: tuple[bytes, ...] = ()

    def __post_init__(self) -> None:
        if self.size < 0 or self.size.bit_count() != len(self.peaks):
            raise ProofError(
                f"The edge of a tree of {self.size} leaves does not have {len(self.peaks)} peaks."
            )

    @property
    def root(self) -> bytes:
        """The root of the tree of all leaves so far."""
        if not self.peaks:
            return EMPTY_ROOT
        *left, root = self.peaks
        for peak in reversed(left):
            root = node_hash(peak, root)
        return root

    def grown(self, leaves: Iterable[bytes]) -> tuple[Edge, list[bytes]]:
        """The edge after these leaf hashes, and the hash of each chunk that they completed."""
        more, size, peaks = list(leaves), self.size, list(self.peaks)
        chunks, at = [], 0
        while at < len(more):
            count = CHUNK if size % CHUNK == 0 and len(more) - at >= CHUNK else 1
            size += count
            top = more[at] if count == 1 else complete_root(more[at : at + count])
            chunk = _put(peaks, top, count=count, size=size)
            if chunk is not None:
                chunks.append(chunk)
            at += count
        return Edge(size, tuple(peaks)), chunks

    def grown_by_chunks(self, chunks: Iterable[bytes]) -> Edge:
        """The edge after these whole chunks; `ProofError` where it ends within one."""
        size, peaks = self.size, list(self.peaks)
        if size % CHUNK:
            raise ProofError(f"An edge of {size} leaves ends within a chunk of {CHUNK}.")
        for chunk in chunks:
            size += CHUNK
            _put(peaks, chunk, count=CHUNK, size=size)
        return Edge(size, tuple(peaks))


def complete_root(leaves: list[bytes]) -> bytes:
    """The root over leaf hashes whose number is a power of two."""
    level = leaves
    while len(level) > 1:
        pairs = zip(level[::2], level[1::2], strict=True)
        level = [sha256(b"\x01" + left + right).digest() for left, right in pairs]
    return level[0]


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree of `size` leaves whose complete subtrees can be asked for.

    `subtree(start, leaves)` gives the hash of the leaves from number `start`, counted from 0;
    `leaves` is a power of two that divides `start`, and all of them lie inside the tree.
    """

    size: int
    subtree: Callable[[int, int], bytes]

    def root(self) -> bytes:
        return self._hash(0, self.size) if self.size else EMPTY_ROOT

    def inclusion(self, index: int) -> list[bytes]:
        """The proof that leaf `index`, counted from 0, is in the tree (RFC 9162, 2.1.3.1)."""
        if not 0 <= index < self.size:
            raise ProofError(f"There is no leaf {index} in a tree of {self.size}.")
        return self._path(index, 0, self.size)

    def consistency(self, old: int) -> list[bytes]:
        """The proof that the first `old` leaves are an earlier tree's (RFC 9162, 2.1.4.1)."""
        if not 1 <= old <= self.size:
            raise ProofError(
                f"A tree of {self.size} leaves cannot be compared with one of {old}: "
                "the earlier one has at least one leaf and no more than the later."
            )
        return self._subproof(old, 0, self.size, whole=True)

    def _hash(self, start: int, count: int) -> bytes:
        if count & (count - 1) == 0:
            return self.subtree(start, count)
        split = _split(count)
        return node_hash(self._hash(start, split), self._hash(start + split, count - split))

    def _path(self, index: int, start: int, count: int) -> list[bytes]:
        if count == 1:
            return []
        split = _split(count)
        if index < split:
            return [
                *self._path(index, start, split),
                self._hash(start + split, count - split),
            ]
        return [
            *self._path(index - split, start + split, count - split),
            self._hash(start, split),
        ]

    def _subproof(self, old: int, start: int, count: int, *, whole: bool) -> list[bytes]:
        if old == count:
            return [] if whole else [self._hash(start, count)]
        split = _split(count)
        if old <= split:
            return [
                *self._subproof(old, start, split, whole=whole),
                self._hash(start + split, count - split),
            ]
        return [
            *self._subproof(old - split, start + split, count - split, whole=False),
            self._hash(start, split),
        ]


def tree_of(leaves: list[bytes]) -> Tree:
    """A tree of leaf hashes that all lie at hand."""

    def subtree(start: int, count: int) -> bytes:
        return complete_root(leaves[start : start + count])

    return Tree(len(leaves), subtree)


def included(*, leaf: bytes, index: int, size: int, proof: list[bytes], root: bytes) -> bool:
    """Whether leaf hash `leaf` is number `index` of the tree (RFC 9162, 2.1.3.2)."""
    if not 0 <= index < size or not _all_hashes([leaf, root, *proof]):
        return False
    sides = _sides(index, size - 1, len(proof))
    if sides is None:
        return False
    found = leaf
    for step, on_left in zip(proof, sides, strict=True):
        found = node_hash(step, found) if on_left else node_hash(found, step)
    return found == root


def consistent(
    *, old_size: int, new_size: int, old_root: bytes, new_root: bytes, proof: list[bytes]
) -> bool:
    """Whether the later tree begins with all leaves of the earlier one (RFC 9162, 2.1.4.2).

    Raises `ProofError` for an earlier tree without leaves: everything continues nothing, so a
    "yes" would prove nothing. RFC 9162 asks for 0 < old; some programs answer "yes" there.
    """
    if old_size == 0:
        raise ProofError("A tree without leaves is the beginning of every other. Compare from 1.")
    if not 0 < old_size <= new_size or not _all_hashes([old_root, new_root, *proof]):
        return False
    if old_size == new_size:
        return not proof and old_root == new_root
    # The root of a complete earlier tree is a node of the later one; the proof leaves it out.
    first, *rest = [old_root, *proof] if old_size & (old_size - 1) == 0 else (proof or [b""])
    complete = (old_size & -old_size).bit_length() - 1
    sides = _sides(old_size - 1 >> complete, new_size - 1 >> complete, len(rest))
    if sides is None:
        return False
    old = new = first
    for step, on_left in zip(rest, sides, strict=True):
        old = node_hash(step, old) if on_left else old
        new = node_hash(step, new) if on_left else node_hash(new, step)
    return old == old_root and new == new_root


def _put(peaks: list[bytes], top: bytes, *, count: int, size: int) -> bytes | None:
    """Put a complete subtree of `count` leaves at the right edge of what then has `size` leaves.

    Gives the hash of the chunk that this completed.
    """
    chunk = top if count == CHUNK else None
    # One merge for each zero of the new size above the subtree, as when a binary counter carries.
    while not size & count:
        top, count = node_hash(peaks.pop(), top), count << 1
        if count == CHUNK:
            chunk = top
    peaks.append(top)
    return chunk


def _sides(number: int, last: int, steps: int) -> list[bool] | None:
    """Which steps from leaf `number` to the root have their hash on the left.

    `last` is the number of the last leaf. None where so many steps do not end at the root.
    """
    sides = []
    for _ in range(steps):
        if last == 0:
            return None
        on_left = bool(number & 1) or number == last
        while on_left and not number & 1 and number:
            number, last = number >> 1, last >> 1
        sides.append(on_left)
        number, last = number >> 1, last >> 1
    return sides if last == 0 else None


def _split(count: int) -> int:
    """The largest power of two below `count`."""
    return 1 << (count - 1).bit_length() - 1


def _all_hashes(values: list[bytes]) -> bool:
    return all(len(value) == len(EMPTY_ROOT) for value in values)
