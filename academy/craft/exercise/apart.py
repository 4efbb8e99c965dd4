"""Which slips can be told apart where answers are judged by eye and tolerances are wide."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.measure import Tolerance

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from decimal import Decimal

    from academy.craft.exercise.question import Mistake
    from academy.craft.measure import Value


def apart(right: Value, allowed: Decimal, slips: Iterable[Mistake]) -> Iterator[Mistake]:
    """The slips that lie further than ``allowed`` from the right value and from those before.

    The most telling slip comes first, so that it is the one that stays.
    """
    covers = Tolerance(allowed).covers
    taken = [right]
    for slip in slips:
        if not any(covers(value, slip.value) for value in taken):
            taken.append(slip.value)
            yield slip
