"""What of a history somebody may read: apps above say which entries are kept from whom.

The record itself holds everything; this narrows pages only.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from academy.audit.models import EntryQuerySet

# Entries, id of the reader, id of the academy -> the entries that they may read.
Narrowing = Callable[["EntryQuerySet", int, int], "EntryQuerySet"]

_narrowings: list[Narrowing] = []


def narrow(narrowing: Narrowing) -> None:
    """Have this applied to every history before it is shown. Saying it twice changes nothing."""
    if narrowing not in _narrowings:
        _narrowings.append(narrowing)


def readable(entries: EntryQuerySet, *, reader_id: int, academy_id: int) -> EntryQuerySet:
    """The entries without what is kept from this reader in this academy."""
    for narrowing in _narrowings:
        entries = narrowing(entries, reader_id, academy_id)
    return entries
