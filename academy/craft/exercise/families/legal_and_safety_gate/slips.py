"""The slips at the gate, each under its own condition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.families.legal_and_safety_gate.card import NOT_READ, Card
from academy.craft.exercise.question import Mistake
from academy.craft.formula.gate import Against
from academy.craft.formula.strength import volume_of_percent
from academy.craft.measure import Several, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

_COUNT_HOURS = "Count hours."
_MIXTURE = "The law looks at the mixture."


@dataclass(frozen=True, slots=True)
class _Turned:
    """A slip that sees one reason too many, or overlooks one."""

    id: str
    reason: Against
    sentence: str


def slips_of(card: Card) -> Iterator[Mistake]:
    """The slips of the trade page, in the figures first, then in the reasons and the verdict."""
    if card.days is None:
        yield Mistake("calendar-days", "hours", card.hours_by_dates, _COUNT_HOURS)
    if card.percent is not None and card.tube is not None:
        yield Mistake("bottle-limit", "strength", card.percent, _MIXTURE)
        yield Mistake("bottle-limit", "ingredient", card.tube, _MIXTURE)
        if card.exact_bottle is not None:
            yield Mistake("lab-conversion", "strength", card.exact_bottle, _by_law(card))
    against = card.against
    to_verdict = []
    for slip in _turned(card):
        seen = against ^ {slip.reason}
        yield Mistake(slip.id, "reasons", Several.of(*map(str, seen)), slip.sentence)
        if bool(seen) != bool(against):
            to_verdict.append(slip)
    # A plain yes or no does not tell which of two slips led there.
    if len(to_verdict) == 1:
        (slip,) = to_verdict
        wrong = "yes" if against else "no"
        yield Mistake(slip.id, "go_ahead", wrong, slip.sentence)


def _turned(card: Card) -> Iterator[_Turned]:
    bounds, limit = card.bounds, card.limit
    by_dates = card.appointment(hours=card.hours_by_dates).against(bounds)
    if (Against.HOURS in by_dates) != (Against.HOURS in card.against):
        yield _Turned("calendar-days", Against.HOURS, _COUNT_HOURS)
    if card.age == bounds.age:
        sentence = f"The rule says under {shown(bounds.age)}."
        yield _Turned("sixteen", Against.AGE, sentence)
    if card.reading == NOT_READ:
        yield _Turned("unread", Against.READING, "A test nobody read is no test.")
    if card.exact_bottle is not None and card.exact_bottle > bounds.peroxide:
        yield _Turned("lab-conversion", Against.PEROXIDE, _by_law(card))
    if card.mixed is None or card.tube is None or limit is None:
        return
    if card.mixed == limit:
        yield _Turned("at-limit", Against.INGREDIENT, "At the limit is still within it.")
    elif card.mixed < limit < card.tube:
        yield _Turned("bottle-limit", Against.INGREDIENT, _MIXTURE)


def _by_law(card: Card) -> str:
    percent = card.percent or card.peroxide_limit
    volume = shown(volume_of_percent(percent))
    return f"The law equates {shown(percent)} % with {volume} volume."
