"""The rules that many fields share: within limits, not too long, each value once."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from academy.curriculum.content.shape import (
    CriterionContent,
    FaultContent,
    ModuleContent,
    Problem,
    SheetContent,
    StepContent,
    TargetLine,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from decimal import Decimal


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


# What a row can hold, in characters.
LONGEST: Mapping[type, Mapping[str, int]] = {
    ModuleContent: {"key": 40, "title": 120, "purpose": 600, "time_note": 200},
    StepContent: {"head": 120, "text": 600},
    FaultContent: {"fault": 160, "cause": 240},
    CriterionContent: {"code": 8, "title": 160, "must_pass_reason": 200},
    TargetLine: {"tag": 40},
    SheetContent: {"pattern": 20, "drawn": 1200, "note": 200},
}
LONGEST_LEVEL = 240


def lengths(content: ModuleContent) -> Iterator[Problem]:
    """Refuse every text that is longer than a row can hold."""
    yield from _lengths("", content)
    for section in ("steps", "faults", "criteria", "targets", "sheets"):
        for n, part in enumerate(getattr(content, section)):
            yield from _lengths(f"{section}.{n}.", part)
    for n, criterion in enumerate(content.criteria):
        for level, text in enumerate(criterion.levels):
            yield from _not_over(f"criteria.{n}.levels.{level}", text, LONGEST_LEVEL)


def _lengths(prefix: str, part: object) -> Iterator[Problem]:
    for name, most in LONGEST[type(part)].items():
        yield from _not_over(prefix + name, getattr(part, name), most)


def _not_over(path: str, text: str, most: int) -> Iterator[Problem]:
    if len(text) > most:
        yield Problem(path, f"This has {len(text)} characters. Shorten it to {most}.")
