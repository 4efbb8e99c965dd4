"""One thing that waits for somebody, as a row of a first page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True)
class Need:
    """Who or what, the mark and words of its state, why, and the one thing to do about it.

    `since` orders a list: the oldest need comes first. `people` names everybody concerned where
    `who` says it shorter.
    """

    who: str
    mark: str
    words: str
    why: str = ""
    act: str = ""
    url: str = ""
    since: date | None = None
    urgent: bool = False
    who_url: str = ""
    kind: str = ""
    people: tuple[str, ...] = ()


def oldest_first(needs: list[Need], today: date) -> list[Need]:
    """Urgent ones first, then by how long they have waited."""
    return sorted(needs, key=lambda need: (not need.urgent, need.since or today, need.who))


NUMBER_WORDS = (
    "No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven",
    "Twelve",
)  # fmt: skip


def spelt(count: int) -> str:
    """A count as a heading begins: words up to twelve, figures above."""
    return NUMBER_WORDS[count] if count < len(NUMBER_WORDS) else str(count)
