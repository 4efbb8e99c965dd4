"""What is printed: the tones to choose from, the text, the table under it, the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.neutralise_a_tone.plan import LIFT_FIRST, Toner
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.mixture import developer_for
from academy.craft.formula.undertone import SHADE_WORDS, TRADE_WORDS, WHEEL
from academy.craft.measure import NONE, Choice, Value, shown

if TYPE_CHECKING:
    from collections.abc import Mapping

SHOWS = {"slight": "slightly", "clear": "clearly", "strong": "strongly"}


def _words_for(tone: str) -> tuple[str, ...]:
    lying_there = (word for word, place in TRADE_WORDS.items() if place == tone)
    return tuple(dict.fromkeys((*lying_there, *SHADE_WORDS.get(tone, ()))))


TONES = tuple(Choice(tone, tone.capitalize(), _words_for(tone)) for tone in WHEEL)
TONES_OR_LIFT = (*TONES, Choice(LIFT_FIRST, "Lift more first", ("lift first", "lift")))


def text_of(drawn: Toner) -> str:
    """One stage, one wish."""
    hair = (
        f"Your client’s hair has lifted to depth {drawn.reached}; the {drawn.stage} shows "
        f"{SHOWS[drawn.how_strong]}. Wanted: depth {drawn.target}, cool. "
    )
    if drawn.level == Level.FIRST:
        return hair + "Which tone cancels it?"
    cream = f"Cream in all: {shown(drawn.cream)} g, mixed 1:{shown(drawn.d)}. "
    if drawn.level == Level.WORKING:
        return f"{hair}{cream}Which tone cancels it, and what do you weigh?"
    return f"{hair}{cream}Which tone cancels it, or what comes first? What do you weigh now?"


def givens_of(drawn: Toner) -> tuple[Given, ...]:
    """The figures of the text."""
    hair = (
        Given("Depth reached", str(drawn.reached)),
        Given("Unwanted tone", f"{drawn.stage}, {drawn.how_strong}"),
        Given("Wanted", f"depth {drawn.target}, cool"),
    )
    if drawn.level == Level.FIRST:
        return hair
    return (
        *hair,
        Given("Cream in all", shown(drawn.cream), "g"),
        Given("Colour to developer", f"1:{shown(drawn.d)}"),
    )


def lines_of(drawn: Toner, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Stage, lift, counter-tone, share and weights."""
    stage = Line(f"What shows at depth {drawn.reached}", drawn.stage_rule, drawn.stage)
    depths = f"depth {drawn.target} wanted, depth {drawn.reached} reached"
    if drawn.lift_first:
        nothing = "nothing to mix yet"
        return (
            stage,
            Line("A toner does not lift", depths, LIFT_FIRST, "tone"),
            Line("Counter-tone", nothing, NONE, "counter"),
            Line("Partner shade", nothing, NONE, "partner"),
            Line("Developer", nothing, NONE, "developer"),
        )
    besides = f"; {' or '.join(drawn.also)} accepted too" if drawn.also else ""
    tone = (
        stage,
        Line(f"What cancels it on the wheel{besides}", drawn.tone_rule, drawn.tone, "tone"),
    )
    toner = Line("A toner does not lift", depths, "no lift needed")
    if drawn.level == Level.FIRST:
        return *tone, toner
    return *tone, *_weight_lines(drawn, own), toner


def _weight_lines(drawn: Toner, own: Mapping[str, Value]) -> tuple[Line, ...]:
    cream, share = drawn.cream, shown(drawn.share)
    counter = figure(own.get("counter"), drawn.counter)
    developer = developer_for(cream, drawn.d)
    in_all = f"{shown(cream)} g"
    return (
        Line(f"Share where the tone is {drawn.how_strong}", drawn.share_rule, f"{share} %"),
        Line("Counter-tone", f"{in_all} × {share} ÷ 100", grams(drawn.counter), "counter"),
        Line("Partner shade", f"{in_all} − {grams(counter)}", grams(cream - counter), "partner"),
        Line("Developer", f"{in_all} × {shown(drawn.d)}", grams(developer), "developer"),
    )
