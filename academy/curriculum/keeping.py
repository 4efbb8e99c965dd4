"""What even a half-written draft must not hold, because its rows could not hold it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.curriculum.content import ModuleContent, Problem
from academy.curriculum.content.checking import HEADS, MINUTES, MONTHS, WEIGHTS
from academy.curriculum.content.limits import lengths, once, within

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

MOST_COUNT = 9999
MOST_PARTS = 40  # steps, criteria, … of one module
PARTS = ("steps", "faults", "criteria", "targets", "sheets")
SIZES = ("depth_mm", "left_mm", "stitch_mm", "gap_mm", "foil_mm")


def cannot_be_kept(content: ModuleContent) -> list[Problem]:
    """The problems that keep `content` from being saved at all; the rest only stops publishing."""
    return [
        *lengths(content),
        *within("heads_required", "Heads in a row", content.heads_required, HEADS),
        *within("months_valid", "Months in date", content.months_valid, MONTHS),
        *within("time_minutes", "Minutes allowed", content.time_minutes, MINUTES),
        *_tenths("time_minutes", content.time_minutes),
        *once("needs", "needed module", content.needs),
        *_too_many(content),
        *_criteria(content),
        *_targets(content),
        *_sheets(content),
    ]


def _too_many(content: ModuleContent) -> Iterator[Problem]:
    for part in PARTS:
        count = len(getattr(content, part))
        if count > MOST_PARTS:
            yield Problem(part, f"There are {count} {part}. At most {MOST_PARTS} fit.")


def _criteria(content: ModuleContent) -> Iterator[Problem]:
    for n, criterion in enumerate(content.criteria):
        path, name = f"criteria.{n}", criterion.code or "This criterion"
        if not criterion.code:
            yield Problem(f"{path}.code", "A criterion has no code. Give it one, for example S1.")
        yield from within(f"{path}.weight", f"The weight of {name}", criterion.weight, WEIGHTS)
        if criterion.must_pass and not criterion.must_pass_reason:
            yield Problem(
                f"{path}.must_pass_reason",
                f"{name} is a must-pass without a reason. Say what goes wrong when it is missed.",
            )
    yield from once("criteria", "code", (criterion.code for criterion in content.criteria))


def _targets(content: ModuleContent) -> Iterator[Problem]:
    for n, line in enumerate(content.targets):
        yield from within(f"targets.{n}.count", "The count", line.count, (1, MOST_COUNT))


def _sheets(content: ModuleContent) -> Iterator[Problem]:
    for n, sheet in enumerate(content.sheets):
        for name in SIZES:
            size: Decimal | None = getattr(sheet, name)
            if size is None:
                continue
            yield from _tenths(f"sheets.{n}.{name}", size)
            yield from within(f"sheets.{n}.{name}", "The size in mm", size, (0, 999))


def _tenths(path: str, value: Decimal) -> Iterator[Problem]:
    exponent = value.normalize().as_tuple().exponent
    if not isinstance(exponent, int) or exponent < -1:
        yield Problem(path, "Too fine: at most one decimal is kept here, for example 6.5.")
