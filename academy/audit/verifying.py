"""Verifying an academy's record: the chain, its columns, its checkpoints, their roots."""

from __future__ import annotations

from dataclasses import replace

from academy.audit.abreast import Abreast
from academy.audit.following import twice
from academy.audit.models import Checkpoint, Entry
from academy.audit.models.checkpoints import joined
from academy.audit.places import Followed, Place, beginning
from academy.craft.proof.chain import Break, Fault, Verified


def verify_chain(academy_id: int, *, roots: bool = True) -> Verified:
    """Verify an academy's whole record, to its first wrong entry.

    Each entry's displayed columns are compared with its proved bytes too: a changed column
    beside untouched bytes would be a lie that the hashes do not see. Each checkpoint's signature
    is verified and its hash compared with the entry's, so that a chain that was cut or made anew
    is seen from inside. `roots` builds the Merkle tree again as well: it sees a root that was put
    beside a chain that is right, which only a holder of the key can do.
    """
    start = beginning(academy_id, tree=roots)
    found = verify_stretch(academy_id, start, length_of(academy_id))
    return Verified(found.place.sequence, found.place.head, found.broken)


def verify_stretch(academy_id: int, start: Place, last: int) -> Followed:
    """Verify the entries after `start` to number `last`, with the checkpoints among them.

    A checkpoint beyond the end of the chain is one of them: what it counted is missing.
    """
    end = length_of(academy_id)
    lost = _lost(academy_id, start, end)
    if lost:
        return Followed(start, lost)
    rows = Checkpoint.objects.of(academy_id).filter(size__gt=start.sequence)
    reached = list(rows if last >= end else rows.filter(size__lte=last))
    passed = Checkpoint.objects.of(academy_id).filter(size__lte=start.sequence).last()
    place, since = start, passed.size if passed else 0
    stops = [min(checkpoint.size, last) for checkpoint in reached]
    with Abreast(academy_id, start, [*stops, last]) as abreast:
        for checkpoint, stop in zip(reached, stops, strict=True):
            found = abreast.follow(place, stop)
            broken = found.broken or _compared(checkpoint, found, since=since)
            if broken:
                return Followed(found.place, broken)
            place, since = replace(found.place, chunks=()), checkpoint.size
        found = abreast.follow(place, last)
    if found.broken:
        return found
    return Followed(found.place, twice(academy_id, start, found.place.sequence))


def length_of(academy_id: int) -> int:
    """The number of the last entry; 0 without one."""
    newest = Entry.objects.for_history(academy_id).values_list("sequence", flat=True).first()
    return newest or 0


def _lost(academy_id: int, start: Place, end: int) -> Break | None:
    """Where what was verified up to `start` is no longer there, or is something else."""
    if start.sequence == 0:
        return None
    if end < start.sequence:
        return Break(end + 1, Fault.CUT_OFF, _cut_off(end, start.sequence))
    entry = Entry.objects.filter(academy_id=academy_id, sequence=start.sequence)
    stored = entry.values_list("hash", flat=True).first()
    if stored is None:
        sentence = f"Entry {start.sequence} is missing."
        return Break(start.sequence, Fault.MISSING, sentence)
    if bytes(stored) != start.head:
        sentence = f"Entry {start.sequence} is not the one that was verified: it was altered."
        return Break(start.sequence, Fault.ALTERED, sentence)
    return None


def _cut_off(end: int, size: int) -> str:
    return (
        f"The record ends at entry {end}, and {size} were there before. "
        f"The entries after {end} were cut off."
    )


def _compared(checkpoint: Checkpoint, found: Followed, *, since: int) -> Break | None:
    """What a checkpoint says against the chain that was followed to it."""
    place, size = found.place, checkpoint.size
    day = f"{checkpoint.made_at:%d %b %Y}"
    if not checkpoint.holds:
        sentence = f"The checkpoint of {size} entries was changed: its signature does not hold."
        return Break(min(size, since + 1), Fault.CHECKPOINT, sentence)
    if place.sequence < size:
        sentence = (
            f"The record ends at entry {place.sequence}; the checkpoint signed on {day} "
            f"counts {size}. The entries after {place.sequence} were cut off."
        )
        return Break(place.sequence + 1, Fault.CUT_OFF, sentence)
    if bytes(checkpoint.head) != place.head:
        sentence = (
            f"Entries {since + 1} to {size} are not the ones that were signed on {day}: "
            "the chain was made anew."
        )
        return Break(since + 1, Fault.MADE_ANEW, sentence)
    if place.edge is not None and not _same_tree(checkpoint, found):
        sentence = f"The checkpoint of {size} entries has another root than its entries."
        return Break(since + 1, Fault.CHECKPOINT, sentence)
    return None


def _same_tree(checkpoint: Checkpoint, found: Followed) -> bool:
    edge = found.place.edge
    return (
        edge is not None
        and edge.root == bytes(checkpoint.root)
        and joined(edge.peaks) == bytes(checkpoint.peaks)
        and joined(found.place.chunks) == bytes(checkpoint.chunks)
    )
