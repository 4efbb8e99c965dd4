"""Drawn hair for the eye exercises: single strands as SVG, thrown from the number of a picture.

A drawing has shapes and presentation attributes only, so that it looks alike on a page, on paper
and on a grey copier: strands have an edge of ink, and lie on the same grey ground in either scheme.
Its unit is a tenth of a millimetre on paper.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, TypeVar

from academy.craft.colour.spaces import Lab, hex_from_lab
from academy.craft.colour.swatches import swatch

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.craft.exercise.family import Dice

T = TypeVar("T")

WIDTH = 1600
"""Of every drawing."""

PICTURES = 99_999
"""Numbers of pictures run from 1 to this."""

GROUND = hex_from_lab(Lab(78.0, 0.0, 1.0))
EDGE = hex_from_lab(swatch(1).lighter(-9))


def shuffled(dice: Dice, items: Iterable[T]) -> list[T]:
    """The items in an order of chance."""
    left = list(items)
    return [left.pop(dice.whole(0, len(left) - 1)) for _ in range(len(left))]


def shares_of(dice: Dice, total: int, count: int, uneven_percent: int) -> list[int]:
    """A total cut in whole pieces that differ by chance, at most so much from the mean.

    Rounding may add one to a piece; the pieces add up to the total exactly.
    """
    marks = [dice.whole(100 - uneven_percent, 100 + uneven_percent) for _ in range(count)]
    whole, done, before = sum(marks), 0, 0
    pieces = []
    for mark in marks:
        done += mark
        here = total * done // whole
        pieces.append(here - before)
        before = here
    return pieces


def strand(left: int, top: int, width: int, height: int, bends: Sequence[int]) -> str:
    """Path data of one hanging strand, as wide everywhere as at its root.

    ``bends`` say how far the curve leans to the right: twice above the middle, at the middle, and
    from there once more and at the tip.
    """
    first, second, middle, third, tip = bends
    half, near, far = height // 2, height // 5, 3 * height // 10
    return (
        f"M{left} {top}c{first} {near} {second} {far} {middle} {half}"
        f"s{third} {far} {tip} {half}h{width}"
        f"c{third - tip} {far - half} {middle - second - tip} {near - half} {-tip} {-half}"
        f"s{first - middle} {near - half} {-middle} {-half}z"
    )


def bends_of(dice: Dice, swing: int) -> tuple[int, int, int, int, int]:
    """A wave of chance for `strand`, no part of it further out than twice the swing."""
    first, second, third = (dice.whole(-swing, swing) for _ in range(3))
    return first, second, (first + second) // 2, third, (second + third) // 2


def drawing(height: int, words: str, *parts: str) -> str:
    """The whole picture: parts over a ground, with what it shows in words."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="eye" viewBox="0 0 {WIDTH} {height}" '
        f'role="img" aria-label="{escape(words)}">'
        f'<rect class="eye-ground" width="{WIDTH}" height="{height}" fill="{GROUND}"/>'
        f"{''.join(parts)}</svg>"
    )


def edged(paths: Iterable[str], width: int = 2) -> str:
    """Strands with an edge of ink."""
    return f'<g stroke="{EDGE}" stroke-width="{width}">{"".join(paths)}</g>'


def path(colour: Lab, data: str) -> str:
    """One filled shape."""
    return f'<path fill="{hex_from_lab(colour)}" d="{data}"/>'


def label(x: int, y: int, text: str, anchor: str = "middle") -> str:
    """Words in a picture; they stand on its own ground, so their ink is fixed too."""
    return (
        f'<text class="eye-label" x="{x}" y="{y}" text-anchor="{anchor}" font-size="62" '
        f'font-family="Atkinson Next, sans-serif" fill="{EDGE}">{escape(text)}</text>'
    )
