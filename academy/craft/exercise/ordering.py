"""Putting things in order: letters, the field that asks for it, and what a wrong order means."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from academy.craft.exercise.question import Field, Line, Mistake
from academy.craft.measure import Choice, Kind, Order, shown_as

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from academy.craft.exercise.family import Dice

T = TypeVar("T")

LETTERS = "abcdefghijklmnop"
FIELD = "order"
MARKS = 3
"""An order is one answer but several decisions, so it weighs more than a figure."""


@dataclass(frozen=True, slots=True)
class NamedOrder:
    """The order that a known slip comes to."""

    id: str
    order: Order
    sentence: str


def shuffled(dice: Dice, things: Sequence[T]) -> tuple[T, ...]:
    """The things in another order than they come; two of them or more."""
    left, found = list(things), []
    while left:
        found.append(left.pop(dice.whole(0, len(left) - 1)))
    return tuple(found) if found != list(things) else (*found[1:], found[0])


def lettered(labels: Sequence[str], first: int = 0) -> tuple[Choice, ...]:
    """A choice for each label, with the letters from the ``first`` one on."""
    letters = LETTERS[first : first + len(labels)]
    return tuple(Choice(key, label) for key, label in zip(letters, labels, strict=True))


def order_of(right: Sequence[T], printed: Sequence[T]) -> Order:
    """The letters that the things have as printed, in the order ``right``."""
    return Order(tuple(LETTERS[printed.index(thing)] for thing in right))


def order_field(label: str, choices: tuple[Choice, ...], needs: tuple[str, ...] = ()) -> Field:
    """The field that asks for the order."""
    return Field(FIELD, label, Kind.ORDER, MARKS, choices=choices, needs=needs)


def order_line(right: Order) -> Line:
    """The last line of a solution: the letters in order."""
    return Line("In order", "from first to last", shown_as(Kind.ORDER, right), FIELD)


def order_slips(
    right: Order,
    named: Sequence[NamedOrder],
    before: Callable[[int], str],
    backwards: str,
) -> Iterator[Mistake]:
    """The orders of known slips, each pair of neighbours exchanged, and the whole turned round.

    ``before(i)`` says that the thing in place i comes before the next one. Where two slips come to
    the same order neither is named: nobody can tell which it was.
    """
    times = Counter(slip.order for slip in named)
    taken = {right}
    for slip in named:
        if slip.order not in taken and times[slip.order] == 1:
            taken.add(slip.order)
            yield Mistake(slip.id, FIELD, slip.order, slip.sentence)
    keys = right.keys
    for place in range(len(keys) - 1):
        exchanged = Order((*keys[:place], keys[place + 1], keys[place], *keys[place + 2 :]))
        if exchanged not in taken:
            yield Mistake("neighbours-exchanged", FIELD, exchanged, before(place))
    if Order(keys[::-1]) not in taken:
        yield Mistake("backwards", FIELD, Order(keys[::-1]), backwards)
