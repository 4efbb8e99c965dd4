"""Two shades that share the colour: their names, their weights, what carries over. Grams."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.family import Follow, figure, grams
from academy.craft.exercise.question import Line
from academy.craft.formula.mixture import shared
from academy.craft.measure import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from academy.craft.measure import Value

TONES = ("gold", "copper", "ash", "pearl", "beige", "mahogany")
SHARES = ((1, 1), (2, 1), (3, 1), (3, 2))
"""The recipes that are drawn, in parts of the first to parts of the second."""

FIELDS = ("shade_1", "shade_2")


def two_shades(depth: int, tone: str) -> tuple[str, str]:
    """The natural shade and the toned one of a depth, in plain words."""
    return f"depth {depth} natural", f"depth {depth} {tone}"


def recipe_of(shades: tuple[str, str], parts: tuple[int, int]) -> str:
    """The recipe as a sentence."""
    (first, second), (a, b) = shades, parts
    return f"The colour is {counted(a, 'part')} {first} and {counted(b, 'part')} {second}."


def shade_lines(
    shades: tuple[str, str], parts: tuple[int, int], colour: Decimal, own: Mapping[str, Value]
) -> tuple[Line, Line]:
    """Both weights: the first by its parts, the second as the rest of the colour."""
    (a, b), (words, others) = parts, (shade.capitalize() for shade in shades)
    right, _ = shared(colour, Decimal(a), Decimal(b))
    first = figure(own.get(FIELDS[0]), right)
    return (
        Line(words, f"{grams(colour)} × {a} ÷ {a + b}", grams(right), FIELDS[0]),
        Line(others, f"{grams(colour)} − {grams(first)}", grams(colour - first), FIELDS[1]),
    )


def follow_shades(
    field: str, parts: tuple[int, int], colour: Decimal, own: Mapping[str, Value]
) -> Iterator[Follow]:
    """What carries over into a shade on the own colour: the rest of it, or its parts."""
    first = own.get(FIELDS[0])
    if field == FIELDS[1] and isinstance(first, Decimal):
        yield Follow(colour - first, f"{grams(colour)} − {grams(first)}")
    if field in FIELDS:
        part = parts[FIELDS.index(field)]
        sum_ = f"{grams(colour)} × {part} ÷ {sum(parts)}"
        yield Follow(colour * part / sum(parts), sum_)
