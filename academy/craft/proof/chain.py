"""The hash chain: each entry's hash covers the hash before it, so nothing can be changed between.

`hash(n) = SHA-256(hash(n-1) || canonical bytes(n))`, `hash(0)` being the genesis of the academy.
What a chain alone cannot show is a tail that was cut off; checkpoints kept elsewhere show that.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from typing import TYPE_CHECKING

from academy.craft.proof.errors import ProofError

if TYPE_CHECKING:
    from collections.abc import Iterable

HASH_BYTES = 32


@dataclass(frozen=True, slots=True)
class Link:
    """One entry as it is stored: its number, what it says, and the two hashes of 32 bytes.

    `around` is how the content must begin and end to agree with what is displayed of the entry.
    """

    sequence: int
    canonical: bytes
    previous_hash: bytes
    hash: bytes
    around: tuple[bytes, bytes] = (b"", b"")


class Fault(StrEnum):
    """What is wrong at the first wrong entry."""

    MISSING = "missing"
    REPEATED = "repeated"
    CUT_FROM_PREVIOUS = "cut_from_previous"
    ALTERED = "altered"
    COLUMN = "column"
    CUT_OFF = "cut_off"
    MADE_ANEW = "made_anew"
    CHECKPOINT = "checkpoint"


@dataclass(frozen=True, slots=True)
class Break:
    """The first wrong entry of a chain, with a sentence a person can act on."""

    sequence: int
    fault: Fault
    sentence: str


@dataclass(frozen=True, slots=True)
class Verified:
    """How many entries were found right, the hash of the last of them, and the first wrong one."""

    checked: int
    head: bytes
    broken: Break | None


def genesis(academy_id: int) -> bytes:
    """The hash that stands before the first entry of an academy (32 bytes)."""
    return sha256(b"blockwork chain 1, academy %d" % academy_id).digest()


def entry_hash(previous: bytes, canonical: bytes) -> bytes:
    """SHA-256 over the previous hash and the canonical bytes; `previous` has 32 bytes."""
    if len(previous) != HASH_BYTES:
        raise ProofError(f"A hash has {HASH_BYTES} bytes; this one has {len(previous)}.")
    return sha256(previous + canonical).digest()


def verify(links: Iterable[Link], *, previous: bytes, first: int = 1) -> Verified:
    """Follow the links from number `first`, which continues `previous`, to the first wrong one."""
    head, checked = previous, 0
    for link in links:
        broken = wrong(link, previous=head, expected=first + checked)
        if broken:
            return Verified(checked, head, broken)
        head, checked = link.hash, checked + 1
    return Verified(checked, head, None)


def wrong(link: Link, *, previous: bytes, expected: int) -> Break | None:
    """What is wrong with a link that should be number `expected` and continue `previous`."""
    number = link.sequence
    if number > expected:
        return Break(expected, Fault.MISSING, f"Entry {expected} is missing; {number} comes next.")
    if number < expected:
        return Break(number, Fault.REPEATED, f"Entry {number} is there twice or out of order.")
    if link.previous_hash != previous:
        sentence = f"Entry {number} does not continue the entry before it."
        return Break(number, Fault.CUT_FROM_PREVIOUS, sentence)
    if sha256(previous + link.canonical).digest() != link.hash:
        sentence = f"Entry {number} was altered: its content and its hash do not belong together."
        return Break(number, Fault.ALTERED, sentence)
    before, after = link.around
    if not (link.canonical.startswith(before) and link.canonical.endswith(after)):
        sentence = f"Entry {number} shows something other than what was recorded: a column changed."
        return Break(number, Fault.COLUMN, sentence)
    return None
