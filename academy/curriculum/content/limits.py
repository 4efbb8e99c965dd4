"""The two rules that many fields share: within limits, and each value once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal

from academy.curriculum.content.shape import Problem


def within(
    path: str, label: str, value: int | Decimal, limits: tuple[int | Decimal, int | Decimal]
) -> Iterator[Problem]:
    """Refuse a value below or above the limits; both limits are allowed values."""
    low, high = limits
    if not low <= value <= high:
        yield Problem(path, f"{label}: {value} is outside {low} to {high}.")


def once(path: str, label: str, values: Iterable[str]) -> Iterator[Problem]:
    """Refuse a value that stands there twice; empty ones are another rule's matter."""
    for value, count in Counter(values).items():
        if value and count > 1:
            yield Problem(path, f"The {label} “{value}” stands here {count} times.")
