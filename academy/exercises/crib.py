"""The givens of a question for the line that stays in sight: those that a field needs first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from academy.craft.exercise.engine import Given, Question

MOST = 4


@dataclass(frozen=True)
class Crib:
    """(words, figure) of the givens in sight, and of all where they are more than those."""

    now: list[tuple[str, str]]
    all: list[tuple[str, str]]


def crib(question: Question, field: str = "") -> Crib:
    """All givens while they are few; else the four that `field` needs first.

    A line that is worked from more than four shows all of those.
    """
    givens = question.givens
    if len(givens) <= MOST:
        return Crib([_pair(given) for given in givens], [])
    needs = next((asked.needs for asked in question.fields if asked.key == field), ())
    ranked = sorted(givens, key=lambda given: _rank(given, needs))
    most = max(MOST, sum(given.label in needs for given in givens))
    return Crib([_pair(given) for given in ranked[:most]], [_pair(given) for given in givens])


def word(given: Given) -> str:
    """The label of a given, or some of its words where it is long."""
    return given.short or given.label


def _pair(given: Given) -> tuple[str, str]:
    return word(given), f"{given.value} {given.unit}".strip()


def _rank(given: Given, needs: tuple[str, ...]) -> int:
    """The place of the need that a given meets; those that meet none come last, in order."""
    met = [n for n, start in enumerate(needs) if given.label.startswith(start)]
    return met[0] if met else len(needs)
