"""How many decisions to check so that a promise can be made about the rest.

Discovery sampling, exact (hypergeometric): source trade.md 5.4 and
shared/checks/measurement/discovery.csv.
"""

from __future__ import annotations

import hashlib
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from academy.craft.judging.errors import JudgingError
from academy.craft.measure import shown


def sample_size(population: int, rate: Decimal, confidence: Decimal) -> int:
    """The smallest sample that shows, by holding no wrong decision, that few are wrong.

    `rate` is the share of wrong decisions to rule out and `confidence` how sure to be, both
    between 0 and 1: 60, 0.10, 0.95 gives 23. The share is taken as a whole number of decisions,
    halves to even, at least one.
    """
    if population < 0:
        raise JudgingError(f"There cannot be {population} decisions.")
    for name, share in (("rate", rate), ("confidence", confidence)):
        if not 0 < share < 1:
            raise JudgingError(f"The {name} is {shown(share)}. It lies between 0 and 1.")
    wrong = max(1, int((population * rate).quantize(Decimal(1), rounding=ROUND_HALF_EVEN)))
    none_found, size = Fraction(1), 0
    while size < population and none_found > 1 - Fraction(confidence):
        none_found *= Fraction(max(0, population - wrong - size), population - size)
        size += 1
    return size


def promise(population: int, rate: Decimal, confidence: Decimal) -> str:
    """The sentence that states what a sample of this size shows."""
    size = sample_size(population, rate, confidence)
    sure, share = shown(100 * confidence), shown(100 * rate)
    return (
        f"If {size} of {population} drawn at random are all right, one can be {sure} % sure "
        f"that fewer than {share} % of them are wrong."
    )


def falls_in(seed: int, place: str, percent: Decimal) -> bool:
    """Whether a sample of `percent` of 100 draws this place; the same on every machine.

    SHA-256 of "seed:place" as a number from 0 to 1 lies under the share, so that a draw needs no
    memory of the ones before it and asking twice gives the same answer.
    """
    if not 0 <= percent <= 100:
        raise JudgingError(f"{shown(percent)} % is no share. It lies between 0 and 100.")
    digest = hashlib.sha256(f"{seed}:{place}".encode()).digest()
    return Fraction(int.from_bytes(digest), 2**256) < Fraction(percent) / 100
