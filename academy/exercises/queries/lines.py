"""One field of a question on the page where it is answered."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.craft.measure import NONE, Kind, Order, Several, Spot
from academy.exercises.queries.heads import zone_middles

if TYPE_CHECKING:
    from academy.craft.exercise.engine import Field, Question as Drawn
    from academy.craft.measure import Choice, Reading
    from academy.exercises.models import Answer

# What stands in the unit cell where the field itself has no unit.
CELLS = {"ratio": "parts", "time": "h:min", "day_time": "day, h:min"}
# Depths of lift may lie below zero, and a phone's figures have no minus.
KEYBOARDS = {
    "number": "decimal",
    "time": "decimal",
    "shade": "numeric",
}
PICKED = {"choice", "several", "order", "spot"}
BETWEEN = ", "


def cell_of(field: Field) -> str:
    """What stands beside the blank: the unit, or the form the answer takes."""
    return field.unit or CELLS.get(field.widget, "")


def joined(texts: list[str]) -> str:
    """The values of one field as one text: several ticks, or the places of an order.

    An open place stays open between others. One value is kept just as it was typed.
    """
    if len(texts) == 1:
        return texts[0]
    return BETWEEN.join(texts).rstrip(" ,") if any(text.strip() for text in texts) else ""


@dataclass(frozen=True)
class Note:
    """What parts/reading.html shows: how a text reads, never whether it is right."""

    errors: tuple[str, ...] = ()
    reads: str = ""
    ask: bool = False


@dataclass(frozen=True)
class Line:
    """One field, with what is written in it.

    `kept` is the row where something was kept. `stands` is the row of a newer answer from
    elsewhere, while `written` is the text that came too late to take its place.
    """

    position: int
    question: Drawn
    field: Field
    written: str
    kept: Answer | None = None
    stands: Answer | None = None

    @property
    def name(self) -> str:
        return f"q{self.position}-{self.field.key}"

    @property
    def cell(self) -> str:
        return cell_of(self.field)

    @property
    def keyboard(self) -> str:
        if self.field.kind is Kind.STEPS:
            return "text"
        return KEYBOARDS.get(self.field.widget, "text")

    @property
    def template(self) -> str:
        kind = self.field.widget if self.field.widget in PICKED else "figure"
        return f"exercises/parts/{kind}_line.html"

    @property
    def is_blank(self) -> bool:
        return not self.written.strip()

    @property
    def is_open(self) -> bool:
        """Nothing is written, or places of an order are left."""
        return self.is_blank or (self.field.kind is Kind.ORDER and "" in self.places)

    @property
    def known(self) -> str:
        """What the page knows to stand in the field, so that a later change elsewhere is seen."""
        return self.kept.written if self.kept else ""

    @cached_property
    def reading(self) -> Reading:
        return self.question.read(self.field.key, self.written)

    @property
    def chosen(self) -> str:
        """The key of the choice that was made."""
        return str(self.reading.value) if self.reading.understood else ""

    @property
    def none_pressed(self) -> bool:
        return self.reading.value == NONE

    @property
    def ticked(self) -> frozenset[str]:
        """The keys of the boxes that are ticked, "none" for none of these."""
        value = self.reading.value
        if isinstance(value, Several):
            return frozenset(value.keys or (NONE,))
        return frozenset(_parts(self.written))

    @property
    def places(self) -> list[str]:
        """The key that stands in each place of an order, "" where it is open."""
        value, choices = self.reading.value, self.field.choices
        keys = list(value.keys) if isinstance(value, Order) else _parts(self.written)
        known = {choice.key for choice in choices}
        filled = [key if key in known else "" for key in keys]
        return (filled + [""] * len(choices))[: len(choices)]

    @property
    def spot(self) -> Spot | None:
        value = self.reading.value
        return value if isinstance(value, Spot) else None

    @property
    def middles(self) -> tuple[tuple[str, str], ...]:
        """Where a place can be put without a tap: each zone, and its middle as an answer."""
        return zone_middles()

    @property
    def lettered(self) -> list[tuple[str, Choice]]:
        """The choices of an order, each with its letter."""
        return [(choice.key.upper(), choice) for choice in self.field.choices]

    @cached_property
    def note(self) -> Note:
        if self.is_blank or self.field.widget == "choice":
            return Note()
        if self.is_open:
            return Note(reads=self.reading.sentence, ask=True)
        if not self.reading.understood:
            return Note(errors=(self.reading.sentence,))
        return Note(reads=self.reading.doubt or self.reading.sentence, ask=bool(self.reading.doubt))

    def said(self, written: str) -> str:
        """A text in words: as it reads, else as it was typed."""
        if not written.strip():
            return ""
        value = self.question.read(self.field.key, written).value
        return written if value is None else self.field.printed(value)

    @property
    def here(self) -> str:
        """The text that came too late, in words."""
        return self.said(self.written)

    @property
    def there(self) -> str:
        """What stands instead, in words."""
        return self.said(self.stands.written) if self.stands else ""


def _parts(written: str) -> list[str]:
    return [part.strip() for part in written.split(",")]
