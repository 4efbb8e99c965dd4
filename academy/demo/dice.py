"""The demo's only chance: the same words give the same throws on every machine."""

from __future__ import annotations

from random import Random
from statistics import NormalDist
from typing import TYPE_CHECKING, Final, TypeVar

if TYPE_CHECKING:
    from collections.abc import Sequence

T = TypeVar("T")
SEED: Final = "larkmere"


class Dice:
    """Only `random()` is used: Python promises its sequence for a seed, no other method's."""

    def __init__(self, *words: object) -> None:
        seed = "/".join(str(word) for word in (SEED, *words))
        self._random = Random(seed).random  # noqa: S311 - a demo that is the same every time

    def share(self) -> float:
        """From 0 to 1."""
        return self._random()

    def whole(self, low: int, high: int) -> int:
        """A whole number, both ends included."""
        return low + int(self._random() * (high - low + 1))

    def pick(self, options: Sequence[T]) -> T:
        return options[int(self._random() * len(options))]

    def some(self, options: Sequence[T], count: int) -> list[T]:
        """So many different ones, in their own order."""
        order = sorted(range(len(options)), key=[self._random() for _ in options].__getitem__)
        return [options[place] for place in sorted(order[:count])]

    def noise(self, sd: float) -> float:
        """Normal, mean 0."""
        return NormalDist(0, sd).inv_cdf(min(max(self._random(), 1e-9), 1 - 1e-9))
