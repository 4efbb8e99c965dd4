"""The rows of the scoring page: zones, faults and criteria. Plain values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.mark_text import mark_text
from academy.craft.measure import counted

if TYPE_CHECKING:
    from academy.assessment.models import FaultMark
    from academy.craft.head.zones import Zone
    from academy.curriculum.models import Criterion


@dataclass(frozen=True)
class ZoneRow:
    """A judged zone: levels given, levels wanted, and why it is left out (empty: it is not)."""

    zone: Zone
    done: int
    most: int
    left_out: str
    current: bool

    @property
    def open(self) -> int:
        return 0 if self.left_out else self.most - self.done

    @property
    def words(self) -> str:
        return "left out" if self.left_out else f"{self.done} of {self.most}"

    @property
    def all_words(self) -> str:
        return f"{self.most} of {self.most}"

    @property
    def open_words(self) -> str:
        return f"{counted(self.open, 'level')} open"

    @property
    def state(self) -> str:
        """How the drawn head shows it."""
        if self.current:
            return "sel"
        if self.left_out:
            return "off"
        return "part" if self.open else "done"


@dataclass(frozen=True)
class FaultRow:
    """A fault mark in the list; `choose` stands behind `?` to take it in hand."""

    mark: FaultMark
    choose: str
    current: bool

    @property
    def text(self) -> str:
        """What stands, for the outbox of the page."""
        return mark_text(self.mark)


@dataclass(frozen=True)
class CriterionRow:
    """A criterion in one zone, or for the head (zone empty), with its level so far.

    All rows stand on the page, so that it works without signal; `shown` are those of the zone or
    the criterion in hand. A row of a zone that is left out says why.
    """

    criterion: Criterion
    zone: str
    chosen: int | None
    shown: bool = True
    in_hand: bool = False
    left_out: str = ""

    @property
    def place(self) -> str:
        """Code and zone."""
        return f"{self.criterion.code}-{self.zone}"

    @property
    def name(self) -> str:
        """Form name of its level."""
        return f"level-{self.place}"

    @property
    def levels(self) -> list[tuple[int, str]]:
        return list(enumerate(self.criterion.levels))

    @property
    def chosen_text(self) -> str:
        return "" if self.chosen is None else self.criterion.levels[self.chosen]
