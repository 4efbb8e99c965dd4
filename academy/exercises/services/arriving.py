"""Whether a text that arrives may take the place of what stands in a field.

A text may come late: it was typed without signal, or on a page that was opened long ago. An older
text never overwrites a newer one from another device; both are then shown to choose from.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from academy.exercises.models import Answer


@dataclass(frozen=True)
class Came:
    """How a text came: what its page knew to stand in the field, and when it was typed.

    `was` is None where the page does not say, `typed_at` where nothing ran there to notice.
    """

    was: str | None = None
    typed_at: datetime | None = None


class Fate(Enum):
    """What becomes of a text."""

    SAME = auto()
    KEPT = auto()
    STALE = auto()


def fate(row: Answer | None, text: str, came: Came) -> Fate:
    """What becomes of `text` where `row` stands (None: nothing was ever kept)."""
    stands = row.written if row else ""
    if text == stands:
        return Fate.SAME
    if came.was is None or came.was == stands:
        return Fate.KEPT
    since = row.kept_at if row else None
    if came.typed_at and (since is None or came.typed_at >= since):
        return Fate.KEPT
    # Untouched on its page, which only did not know of the change elsewhere.
    return Fate.SAME if text == came.was else Fate.STALE


def kept_at(row: Answer, came: Came, now: datetime) -> datetime:
    """When the text was typed as far as that is known, never before the one it replaces."""
    typed = min(came.typed_at or now, now)
    return max(typed, row.kept_at) if row.kept_at else typed
