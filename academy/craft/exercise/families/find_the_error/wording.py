"""The sentences in words: what is claimed in each, and what is so."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.find_the_error.sentence import (
    plain_mean,
    taken_for_water,
    third_of,
)
from academy.craft.exercise.families.find_the_error.slips import Slip, Template
from academy.craft.exercise.question import Given
from academy.craft.formula.alligation import strength_of
from academy.craft.formula.gate import hours_between
from academy.craft.formula.mixture import on_the_head
from academy.craft.formula.strength import percent_of_volume
from academy.craft.measure import MINUTES_IN_A_DAY, WEEKDAYS, Kind, clock, day_time, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Callable

    from academy.craft.exercise.families.find_the_error.sentence import Sentence

HALVES = Decimal(1)
TAKEN_OFF = Decimal(3)
TWO_DAYS = Decimal(48)
BOTTLE_HELPS = "That is the bottle strength. The cream in the bowl holds no peroxide."
LIMIT_HELPS = "The law looks at the mixture."


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence in words, the working that settles it, and its figures where it has some.

    ``asks`` names the right value; ``truth`` is what is so, in words, where there is no figure.
    """

    words: str
    working: str
    givens: tuple[Given, ...] = ()
    asks: str = ""
    kind: Kind = Kind.STRENGTH
    right: Decimal | None = None
    claimed: Decimal | None = None
    truth: str = ""
    helps: str = ""

    def found(self, value: Decimal | None) -> str:
        """What was worked out, or the truth in words."""
        return self.truth if value is None else shown_as(self.kind, value)

    @property
    def claim(self) -> str:
        """The figure that is claimed, as it is said."""
        return "as said" if self.claimed is None else f"{shown(self.claimed, 2)} {self.kind.unit}"

    def compared(self, value: Decimal | None, *, true: bool) -> str:
        """The claim against what was worked out."""
        if self.claimed is None:
            return f"{'so it is' if true else 'not so'}: {self.truth}"
        return f"{self.claim} said, {self.found(value)} found"


def said_of(sentence: Sentence) -> Said:
    """What it says, and what is so; ``right`` is None where there is no figure."""
    return _SAYS[Template(sentence.template)](sentence)


def _mixture(sentence: Sentence) -> Said:
    parts = [f"{shown(grams)} g of {shown(percent)} %" for grams, percent in sentence.parts]
    right = strength_of(sentence.parts)
    claimed = right
    if not sentence.true:
        claimed = (plain_mean if sentence.slip == Slip.MEAN else taken_for_water)(sentence)
    half_way = ", half-way" if sentence.slip == Slip.MEAN and len(parts) == 2 else ""
    weighed = " + ".join(f"{shown(g)} × {shown(percent)}" for g, percent in sentence.parts)
    total = shown(sum((grams for grams, _ in sentence.parts), Decimal(0)))
    return Said(
        f"{', '.join(parts[:-1])} and {parts[-1]} make {shown(claimed, 2)} %{half_way}",
        f"({weighed}) ÷ {total}",
        tuple(
            Given(f"Developer of {shown(percent)} %", shown(grams), "g")
            for grams, percent in sentence.parts
        ),
        "Strength it makes",
        right=right,
        claimed=claimed,
    )


def _volume(sentence: Sentence) -> Said:
    right = percent_of_volume(Decimal(sentence.volume))
    claimed = right if sentence.true else third_of(sentence.volume)
    return Said(
        f"{sentence.volume} volume is {shown(claimed, 2)} %",
        f"0.3 × {sentence.volume}",
        (Given("Strength", str(sentence.volume), "vol"),),
        "Strength in per cent",
        right=right,
        claimed=claimed,
    )


def _bottle(sentence: Sentence) -> Said:
    percent, d = sentence.percent_1, sentence.d
    right = on_the_head(percent, d)
    claimed = right if sentence.true else percent
    return Said(
        f"{shown(percent)} % at 1:{shown(d)} puts {shown(claimed, 2)} % on the head",
        f"{shown(percent)} × {shown(d)} ÷ {shown(1 + d)}",
        (
            Given("Developer", shown(percent), "%"),
            Given("Colour to developer", f"1:{shown(d)}"),
        ),
        "Strength on the head",
        right=right,
        claimed=claimed,
        helps=BOTTLE_HELPS,
    )


def _halves(sentence: Sentence) -> Said:
    percent = sentence.percent_1
    right = on_the_head(percent, HALVES)
    claimed = right if sentence.true else percent - TAKEN_OFF
    said = f"leaves {shown(claimed)} %"
    if not sentence.true:
        said = f"takes off {shown(TAKEN_OFF)} % and {said}"
    return Said(
        f"Equal neutral to {shown(percent)} % {said}",
        f"{shown(percent)} ÷ 2",
        (Given("Developer", shown(percent), "%"), Given("Neutral to developer", "1:1")),
        "Strength that is left",
        right=right,
        claimed=claimed,
    )


def _ratio(sentence: Sentence) -> Said:
    share = "twice" if sentence.true else "half"
    words = f"1:2 means {share} as much developer as colour"
    return Said(
        words,
        "1 part of colour to 2 parts of developer",
        (Given("Said", words),),
        truth="twice as much developer",
    )


def _limit(sentence: Sentence) -> Said:
    percent, limit = shown(sentence.percent_1), shown(sentence.rule)
    right = on_the_head(sentence.percent_1, HALVES)
    verb = "stays within" if sentence.true else "breaks"
    return Said(
        f"{percent} % mixed 1:1 {verb} the {limit} % limit",
        f"{percent} × 1 ÷ 2, limit {limit} %",
        (
            Given("Developer", percent, "%"),
            Given("Colour to developer", "1:1"),
            Given("Limit on the head", limit, "%"),
        ),
        "Strength on the head",
        right=right,
        truth=f"{shown(right)} % is within {limit} %",
        helps=LIMIT_HELPS,
    )


def _cover(sentence: Sentence) -> Said:
    taught, stronger = shown(sentence.rule), shown(sentence.percent_1)
    words = f"{stronger} % covers white better than {taught} %"
    if sentence.true:
        words = f"{taught} % is taught for covering white; more strength lifts"
    return Said(
        words,
        f"for covering white: {sentence.rule_said}",
        (Given("Said", words),),
        truth=f"{taught} % is taught; more strength lifts",
    )


def _tint(sentence: Sentence) -> Said:
    depths = f"depth {sentence.depth} to {sentence.depth + 2}"
    takes = "does not take" if sentence.true else "takes"
    words = f"Permanent colour {takes} tinted {depths}"
    return Said(
        words,
        "lift of tinted hair: 0 depths",
        (Given("Said", words),),
        truth="it does not take it there",
    )


def _dates(sentence: Sentence) -> Said:
    right = hours_between(sentence.start, sentence.end)
    tested, coloured = (_moment(at) for at in (sentence.start, sentence.end))
    return Said(
        f"Tested on {tested}, coloured on {coloured}: two days, {shown(TWO_DAYS)} h",
        f"{day_time(sentence.start)} to {day_time(sentence.end)}",
        (
            Given("Tested", day_time(sentence.start)),
            Given("Coloured", day_time(sentence.end)),
        ),
        "Hours between them",
        Kind.HOURS,
        right=right,
        claimed=TWO_DAYS,
    )


def _clocks(sentence: Sentence) -> Said:
    words = f"All {sentence.foils} foils started when the first went in"
    if sentence.true:
        words = f"Each of the {sentence.foils} foils starts when it closes"
    return Said(
        words,
        "a foil’s time runs from its own closing",
        (Given("Said", words),),
        truth="each starts when it closes",
    )


def _moment(at: int) -> str:
    day, minutes = divmod(at, MINUTES_IN_A_DAY)
    return f"{WEEKDAYS[day]} at {clock(minutes)}"


_SAYS: dict[Template, Callable[[Sentence], Said]] = {
    Template.MIXTURE: _mixture,
    Template.VOLUME: _volume,
    Template.BOTTLE: _bottle,
    Template.HALVES: _halves,
    Template.RATIO: _ratio,
    Template.LIMIT: _limit,
    Template.COVER: _cover,
    Template.TINT: _tint,
    Template.DATES: _dates,
    Template.CLOCKS: _clocks,
}
