"""The givens of a question for the line that stays in sight: those that a field needs first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.exercise.engine import Given, Question

MOST = 4
# Long labels, cut to some of their own words, so that they are found again in the task.
CUT = {
    "Mixed product for each cm² of scalp and cm of regrowth": "Mixed product",
    "Cream is rounded up to a multiple of": "Cream, multiple of",
    "House rule for the base shade": "House rule, base shade",
    "Label, minutes on resistant white": "Label, resistant white",
    "Label, time counts from the": "Label, counts from",
    "Rules your house has changed": "House has changed",
}
_RATIOS = (
    "Colour to developer",
    "Label, colour to developer",
    "Label, ratio",
    "House rule, ratio",
    "Standard rule, ratio",
)
_HAIR = ("White hair", "Hair")
_DECIDING = ("Rules your house has changed", "Label, ")
# What a field needs first, by the beginnings of the labels.
NEEDS: Mapping[str, tuple[str, ...]] = {
    "share": (*_HAIR, "House rule for the base shade"),
    "cream": ("Bowl", "Mixed product", "Scalp", "Regrowth", *_RATIOS),
    "natural": _HAIR,
    "natural_depth": ("Wanted", "Natural depth"),
    "target": ("Wanted", *_HAIR),
    "strength": (*_HAIR, "Wanted"),
    "ratio": (*_RATIOS, *_DECIDING),
    "developer": _RATIOS,
    "presoften": _HAIR,
    "start": ("White, ",),
    "minutes": ("Hair", "Label, minutes"),
    "first_check": ("Application ends", "Application starts", "Label, time", "Label, minutes"),
    "latest_rinse": ("Application ends", "Application starts", "Label, time", "Label, ceiling"),
    "decided_by": (*_DECIDING, "House rule, ratio", "Standard rule, ratio"),
}


@dataclass(frozen=True)
class Crib:
    """(words, figure) of the givens in sight, and of all where they are more than those."""

    now: list[tuple[str, str]]
    all: list[tuple[str, str]]


def crib(question: Question, field: str = "") -> Crib:
    """All givens while they are few; else the four that `field` needs first.

    Where to start is seen from every area's white, so that line shows all five.
    """
    givens = question.givens
    if len(givens) <= MOST:
        return Crib([_pair(given) for given in givens], [])
    needs = NEEDS.get(field, ())
    ranked = sorted(givens, key=lambda given: _rank(given, needs))
    areas = sum(given.label.startswith("White, ") for given in givens)
    most = max(MOST, areas) if field == "start" else MOST
    return Crib([_pair(given) for given in ranked[:most]], [_pair(given) for given in givens])


def word(given: Given) -> str:
    """The label of a given, or some of its words where it is long."""
    return CUT.get(given.label, given.label)


def _pair(given: Given) -> tuple[str, str]:
    return word(given), f"{given.value} {given.unit}".strip()


def _rank(given: Given, needs: tuple[str, ...]) -> int:
    """The place of the need that a given meets; those that meet none come last, in order."""
    met = [n for n, start in enumerate(needs) if given.label.startswith(start)]
    return met[0] if met else len(needs)
