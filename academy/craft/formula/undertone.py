"""Undertone: what shows when natural hair is lifted to a depth, and the tone that cancels it.

Stages and counter-tones are the rules ``undertone`` and ``counter_tone`` (published: a printed
chart of underlying pigment). Other charts differ by half a step; what is accepted beside the table
for that reason is an academy rule. The wheel is the painter's, red opposite green, orange opposite
blue, yellow opposite violet (published: an open level 2 textbook, CC BY). Tones are judged by this
wheel and this table, never by computed colour differences.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.formula.errors import FormulaError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from academy.craft.rules import Decided, Rules

DARKEST, LIGHTEST = 1, 10

WHEEL = (
    "red",
    "red-orange",
    "orange",
    "yellow-orange",
    "yellow",
    "yellow-green",
    "green",
    "blue-green",
    "blue",
    "blue-violet",
    "violet",
    "red-violet",
)
"""The ring of twelve; the opposite lies six on."""

STAGES = (
    "plum-black",
    "red-violet",
    "red, dark",
    "red-orange",
    "orange",
    "gold-orange",
    "gold",
    "deep yellow",
    "yellow",
    "pale yellow",
)
"""The words for what shows, from depth 1 to 10 in the standard rules."""

TRADE_WORDS: Mapping[str, str] = {
    "red, dark": "red",
    "plum-black": "red-violet",
    "mahogany": "red-violet",
    "copper": "orange",
    "gold-orange": "orange",
    "gold": "yellow-orange",
    "deep yellow": "yellow",
    "pale yellow": "yellow",
    "matt": "green",
    "ash": "blue",
    "pearl": "violet",
}
"""Where a trade word lies on the wheel; gold-orange, between two, counts as orange."""

OFF_THE_WHEEL = frozenset({"natural", "brown", "beige"})

SHADE_WORDS: Mapping[str, tuple[str, ...]] = {
    "violet": ("pearl",),
    "blue": ("ash",),
    "blue-violet": ("ash with pearl",),
    "green": ("matt",),
    "blue-green": ("matt with ash",),
}
"""What a shade with this counter-tone is called, besides the tone itself (academy rule)."""

ACCEPTED_STAGES: Mapping[int, tuple[str, ...]] = {5: ("red-orange",)}
"""What may be named beside the stage of the table; published, since charts differ."""

ACCEPTED_COUNTER_TONES: Mapping[int, tuple[str, ...]] = {
    2: ("yellow-green",),
    4: ("green", "blue"),
    5: ("blue-green",),
    6: ("blue",),
    7: ("blue", "violet"),
    8: ("blue-violet",),
}
"""What an answer may name beside the counter-tone of the table, by depth (academy rule)."""


class HowStrong(StrEnum):
    """How strong the unwanted tone is: the cells of the rule ``counter_share``."""

    SLIGHT = "slight"
    CLEAR = "clear"
    STRONG = "strong"


@dataclass(frozen=True, slots=True)
class Undertone:
    """What shows at a depth and what cancels it; ``accepted…`` also earn the marks."""

    depth: int
    stage: Decided
    counter_tone: Decided
    accepted_stages: tuple[str, ...]
    accepted_counter_tones: tuple[str, ...]


def undertone_at(depth: int, rules: Rules) -> Undertone:
    """Stage and counter-tone of hair lifted to this depth; ``FormulaError`` outside 1 to 10.

    Where the house has taken another word than the chart's, only its own counts: what is accepted
    besides belongs to the chart.
    """
    stage = stage_at(depth, rules)
    counter = rules.decide("counter_tone", depth=depth)
    return Undertone(
        depth,
        stage,
        counter,
        ACCEPTED_STAGES.get(depth, ()) if _as_the_chart(stage, rules) else (),
        ACCEPTED_COUNTER_TONES.get(depth, ()) if _as_the_chart(counter, rules) else (),
    )


def stage_at(depth: int, rules: Rules) -> Decided:
    """The warmth that shows at this depth; ``FormulaError`` outside 1 to 10."""
    if not DARKEST <= depth <= LIGHTEST:
        raise FormulaError(f"Depths run from {DARKEST} to {LIGHTEST}. There is no depth {depth}.")
    return rules.decide("undertone", depth=depth)


def place_on_wheel(word: str) -> str | None:
    """The wheel tone of a word of the trade; None for the words that lie off the wheel."""
    if word in OFF_THE_WHEEL:
        return None
    place = TRADE_WORDS.get(word, word)
    if place not in WHEEL:
        raise FormulaError(f"“{word}” is no tone of the wheel, for example ash or red-violet.")
    return place


def opposite(tone: str) -> str:
    """The wheel tone six on."""
    return _turned(tone, len(WHEEL) // 2)


def neighbours(tone: str) -> tuple[str, str]:
    """The wheel tones one step either side."""
    return _turned(tone, -1), _turned(tone, 1)


def counter_grams(cream: Decimal, share: Decimal) -> Decimal:
    """Grams of counter-tone in so much colour cream; ``share`` in per cent."""
    return cream * share / 100


def _turned(tone: str, steps: int) -> str:
    return WHEEL[(WHEEL.index(tone) + steps) % len(WHEEL)]


def _as_the_chart(decided: Decided, rules: Rules) -> bool:
    return decided.word == rules.defaults.rule(decided.rule_key).default
