"""A made-up exercise family that asks for every kind of answer, for tests of the pages.

It is never registered in the product: `registered` does so for one test, and the browser tests'
own settings for their site. What it asks is no fact of the trade.
"""

# A family takes more than this one looks at.
# ruff: noqa: ARG002
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import FAMILIES, families, family_of
from academy.craft.exercise.family import Dice, Drawn, Follow, Picture, Tolerances, figure
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.spots import spot_at
from academy.craft.measure import NONE, Choice, Kind, Order, Several, Tolerance, Value, shown

if TYPE_CHECKING:
    from academy.craft.rules import Rules

STEPS = (
    Choice("a", "Comb the panel flat"),
    Choice("b", "Take the slice"),
    Choice("c", "Lay the foil under it"),
    Choice("d", "Fold and close it"),
)
TOOLS = (
    Choice("brush", "Brush"),
    Choice("comb", "Tail comb"),
    Choice("bowl", "Bowl"),
    Choice("razor", "Razor"),
)
LEFT, RIGHT = spot_at(Decimal(60), Decimal(45)), spot_at(Decimal(-60), Decimal(45))
SKETCH = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 40">'
    '<path class="hd-line" d="M0 20h120M20 0v40M60 0v40M100 0v40"/></svg>'
)


@dataclass(frozen=True)
class Numbers:
    """What is drawn."""

    spacing: Decimal


class Trial:
    """Every kind of answer in one question; the first level asks for the order alone."""

    key = "trial-of-all-kinds"
    version = 1
    title = "Every kind of answer"
    trains = "Nothing: it tries the pages"
    parameters = Numbers

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Numbers] | None:
        return Drawn(Numbers(Decimal(dice.whole(3, 9) if level is Level.WORKING else 2)))

    def under(self, drawn: Numbers, rules: Rules) -> Drawn[Numbers] | None:
        return Drawn(drawn)

    def identity(self, drawn: Numbers) -> str:
        return shown(drawn.spacing)

    def key_of(self, drawn: Numbers) -> dict[str, Value]:
        return {
            "gap": drawn.spacing,
            "lift": Decimal(-2),
            "check": NONE,
            "tools": Several.of("brush", "bowl"),
            "order": Order(("b", "a", "c", "d")),
            "left": LEFT,
            "right": RIGHT,
        }

    def fields(self, drawn: Numbers, tolerances: Tolerances) -> tuple[Field, ...]:
        order = Field("order", "Put the steps in order", Kind.ORDER, choices=STEPS)
        if drawn.spacing == 2:
            return (order,)
        near = Tolerance(Decimal(10))
        return (
            Field("gap", "Space between two slices", Kind.MILLIMETRES),
            Field("lift", "Depths of lift", Kind.STEPS),
            Field("check", "Next check", Kind.MINUTES, or_none=True),
            Field("tools", "What is needed", Kind.SEVERAL, weight=2, choices=TOOLS),
            order,
            Field("left", "Left corner", Kind.SPOT, weight=2, tolerance=near),
            Field("right", "Right corner", Kind.SPOT, weight=2, tolerance=near),
        )

    def mistakes(self, drawn: Numbers) -> Iterable[Mistake]:
        yield Mistake("halved", "gap", drawn.spacing / 2, "That is half of the space.")
        swapped = Order(("a", "b", "c", "d"))
        yield Mistake("swapped", "order", swapped, "The slice is taken before it is combed flat.")

    def text(self, drawn: Numbers) -> str:
        return "You lay a foil in a panel. Answer each line."

    def givens(self, drawn: Numbers) -> tuple[Given, ...]:
        return (
            Given("Spacing of the pattern", shown(drawn.spacing), "mm"),
            Given("Panel", "crown"),
            Given("Natural depth", "6"),
            Given("Wanted depth", "4"),
            Given("Foils closed at", "14:05"),
        )

    def lines(self, drawn: Numbers, own: Mapping[str, Value]) -> tuple[Line, ...]:
        gap = figure(own.get("gap"), drawn.spacing)
        return (
            Line("Space", f"{shown(gap)} mm", f"{shown(gap)} mm", "gap"),
            Line("Order", "as the module has it", "B, A, C, D", "order"),
        )

    def follow(self, drawn: Numbers, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        return ()

    def picture(self, drawn: Numbers) -> Picture:
        return Picture(SKETCH, "A parting with three marks across it.")


def register() -> None:
    """Let papers ask for it, from here on."""
    FAMILIES[Trial.key, Trial.version] = Trial()
    families.cache_clear()
    family_of.cache_clear()


@contextmanager
def registered() -> Iterator[Trial]:
    """Let papers ask for it, for as long as this lasts."""
    register()
    try:
        yield Trial()
    finally:
        del FAMILIES[Trial.key, Trial.version]
        families.cache_clear()
        family_of.cache_clear()
