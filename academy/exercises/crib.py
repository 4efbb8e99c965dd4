"""Short words for the givens of a question, for the line that stays in sight."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from academy.craft.exercise.engine import Given, Question

WORDS = {
    "Developer you need": "need",
    "Developer you have": "have",
    "Wanted strength": "wanted",
    "Strength on the shelf": "shelf",
    "Colour cream": "cream",
    "Colour to developer": "mix",
    "Standard rule, ratio": "standard",
    "House rule, ratio": "house",
    "Label, ratio": "label",
    "Natural depth": "natural",
    "White hair": "white",
    "Mixed product for each cm² of scalp and cm of regrowth": "spread",
    "Cream is rounded up to a multiple of": "step",
    "House rule for the base shade": "base",
    "White, front": "front",
    "White, sides": "sides",
    "White, crown": "crown",
    "White, back": "back",
    "White, nape": "nape",
    "Application starts": "starts",
    "Application ends": "ends",
    "Label, colour to developer": "label mix",
    "Label, minutes": "label",
    "Label, minutes on resistant white": "label, resistant",
    "Label, ceiling": "label ceiling",
    "Label, time counts from the": "label from",
    "Rules your house has changed": "house",
}


def crib(question: Question) -> list[tuple[str, str]]:
    """(word, figure) of every given, as short as they can be."""
    return [(word(given), f"{given.value} {given.unit}".strip()) for given in question.givens]


def word(given: Given) -> str:
    """The short word; two shades in parts are "shades", what has none keeps its label."""
    if given.label.startswith("Depth ") and " to depth " in given.label:
        return "shades"
    return WORDS.get(given.label, given.label.lower())
