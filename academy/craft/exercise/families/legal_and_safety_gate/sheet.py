"""What is printed: the text, the appointment card, and the worked solution."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.legal_and_safety_gate.card import NO_TO_ALL, Card
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.bowl import INGREDIENTS
from academy.craft.formula.gate import HOURS_IN_A_DAY, Against
from academy.craft.formula.strength import volume_of_percent
from academy.craft.measure import (
    NONE,
    YES_OR_NO,
    Choice,
    Kind,
    counted,
    day_time,
    round_half_up,
    shown,
    shown_as,
)
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from academy.craft.measure import Value

REASONS = (
    Choice(Against.AGE, "Too young", ("age", "under age")),
    Choice(Against.HOURS, "Too few hours since the test", ("hours", "too few hours")),
    Choice(Against.DAYS, "Test result too old", ("days", "too old")),
    Choice(Against.READING, "Test not read or not clear", ("not read", "not clear")),
    Choice(Against.PRODUCT, "Test made with another colour", ("another colour", "product changed")),
    Choice(Against.CONTRA_INDICATION, "An answer that stands against it", ("contra-indication",)),
    Choice(Against.PEROXIDE, "Peroxide above its limit"),
    Choice(Against.INGREDIENT, "Ingredient above its limit"),
)
"""In the order in which they are looked at."""

_OF_A_MIX = {Against.PEROXIDE, Against.INGREDIENT}
_TEST = ("Skin test", "Service")
NEEDS: Mapping[str, tuple[str, ...]] = {
    "hours": _TEST,
    "days": _TEST,
    "strength": ("Developer", "Colour to developer"),
    "ingredient": ("In the tube", "Colour to developer"),
    "reasons": ("Age", *_TEST, "Reading", "Test made with", "Colour today", "Questions", "Limit"),
    "go_ahead": ("Age", *_TEST, "Reading", "Test made with", "Colour today", "Questions", "Limit"),
    "earliest": _TEST,
}
_FROM = {DecidedBy.HOUSE: "House rule", DecidedBy.LABEL: "Label"}


def choices_of(card: Card) -> tuple[Choice, ...]:
    """The reasons that are offered; those of a mixture only where there is one."""
    return tuple(c for c in REASONS if card.percent is not None or c.key not in _OF_A_MIX)


def reasons_in_words(reasons: frozenset[Against]) -> str:
    """The reasons as their choices read, in their order."""
    return "; ".join(c.label for c in REASONS if c.key in reasons) or "none of these"


def text_of(card: Card) -> str:
    """One appointment."""
    test = (
        f"Skin test {day_time(card.tested)}, service {day_time(card.service)}"
        if card.days is None
        else f"Skin test {_ago(card.days)} earlier at the same hour, service "
        f"{day_time(card.service)}"
    )
    worked = "" if card.level == Level.FIRST else "Work out the mixture. "
    return (
        f"Your next client is {card.age} and wants permanent colour. {test}. The card says the "
        f"rest. {worked}May the service go ahead? Tick every reason against it. If waiting is all "
        "it needs, what is the earliest time?"
    )


def givens_of(card: Card) -> Iterator[Given]:
    """The appointment card; rules that are stricter here than elsewhere with it."""
    yield Given("Age", str(card.age), "years")
    if card.days is None:
        yield Given("Skin test", day_time(card.tested))
    else:
        yield Given("Skin test", f"{_ago(card.days)} earlier, same hour")
    yield Given("Service", day_time(card.service))
    yield Given("Reading of the test", card.reading)
    yield Given("Test made with", "colour A")
    yield Given("Colour today", "colour A" if card.same_product else "colour B")
    yield Given("Questions about scalp and earlier reactions", card.asked, short="Questions")
    yield Given("Last coloured", f"{card.last_colour} weeks ago")
    yield from _stricter(card)
    if card.percent is None or card.d is None or card.tube is None or card.limit is None:
        return
    if card.in_volume:
        yield Given("Developer", shown(volume_of_percent(card.percent)), "vol")
    else:
        yield Given("Developer", shown(card.percent), "%")
    yield Given("Colour to developer", f"1:{shown(card.d)}")
    name = INGREDIENTS[card.ingredient]
    yield Given(f"In the tube, {name}", shown(card.tube), "%", "In the tube")
    yield Given(f"Limit on the head, {name}", shown(card.limit), "%", "Limit")


def lines_of(card: Card, own: Mapping[str, Value]) -> Iterator[Line]:
    """Age, test, reading, questions, mixture, verdict."""
    bounds = card.bounds
    against = own_reasons(card, own)
    yield Line(
        f"Age, {card.age_rule}",
        f"{card.age} against {shown(bounds.age)}",
        _verdict(Against.AGE in card.against, "too young"),
    )
    yield from _time_lines(card, own, against)
    yield Line("Reading", card.reading, _verdict(Against.READING in card.against, "a reason"))
    product = "colour A both times" if card.same_product else "colour A, then colour B"
    yield Line("Tested and used", product, _verdict(not card.same_product, "a reason"))
    yield Line("Questions", card.asked, _verdict(card.asked != NO_TO_ALL, "a reason"))
    yield from _mix_lines(card, own, against)
    yield Line("Reasons", _gathered(against), reasons_in_words(against), "reasons")
    verdict = "no" if card.against else "yes"
    yield Line(
        "Go ahead",
        "one reason is enough" if card.against else "no reason to refuse was found",
        next(c.label for c in YES_OR_NO if c.key == verdict),
        "go_ahead",
    )
    earliest = card.earliest
    if earliest == NONE:
        waiting = "waiting does not help" if card.against else "it need not wait"
        yield Line("Earliest time", waiting, NONE, "earliest")
    else:
        yield Line(
            "Earliest time",
            f"{day_time(card.tested)} + {shown(bounds.hours)} h",
            shown_as(Kind.DAY_TIME, earliest),
            "earliest",
        )


def own_reasons(card: Card, own: Mapping[str, Value]) -> frozenset[Against]:
    """The reasons on own hours or days and the own ingredient."""
    appointment = card.appointment(own_hours(own), _number(own.get("ingredient")))
    return appointment.against(card.bounds)


def own_hours(own: Mapping[str, Value]) -> Decimal | None:
    """The own hours since the test, also from own days."""
    hours, days = _number(own.get("hours")), _number(own.get("days"))
    return days * HOURS_IN_A_DAY if days is not None else hours


def _time_lines(
    card: Card, own: Mapping[str, Value], against: frozenset[Against]
) -> Iterator[Line]:
    mine = own_hours(own)
    hours = card.hours if mine is None else mine
    days = hours / HOURS_IN_A_DAY
    if card.days is None:
        span = f"{day_time(card.tested)} to {day_time(card.service)}"
        yield Line("Hours since the test", span, shown_as(Kind.HOURS, card.hours), "hours")
    else:
        yield Line("Days since the test", _span(card.days), str(card.days), "days")
    yield Line(
        f"Hours needed, {card.hours_rule}",
        f"{shown(hours, 1)} h against {shown(card.hours_least)} h",
        _verdict(Against.HOURS in against, "too few"),
    )
    yield Line(
        f"Days the result counts, {card.days_rule}",
        f"{_days(days)} against {_days(card.days_most)}",
        _verdict(Against.DAYS in against, "too old"),
    )


def _mix_lines(card: Card, own: Mapping[str, Value], against: frozenset[Against]) -> Iterator[Line]:
    strength, mixed, d = card.strength, card.mixed, card.d
    if card.percent is None or card.tube is None or card.limit is None:
        return
    if strength is None or mixed is None or d is None:
        return
    if card.in_volume:
        volume = shown(volume_of_percent(card.percent))
        yield Line("Developer in per cent", f"0.3 × {volume} vol", f"{shown(card.percent)} %")
    yield Line(
        "Peroxide in the mixture",
        f"{shown(card.percent)} × {shown(d)} ÷ {shown(1 + d)}",
        shown_as(Kind.STRENGTH, strength),
        "strength",
    )
    name = INGREDIENTS[card.ingredient]
    yield Line(
        f"In the mixture, {name}",
        f"{shown(card.tube)} ÷ {shown(1 + d)}",
        shown_as(Kind.STRENGTH, mixed),
        "ingredient",
    )
    mine = _number(own.get("ingredient"))
    found = mixed if mine is None else mine
    yield Line(
        "Against its limit",
        f"{shown(found, 2)} % against {shown(card.limit)} %",
        _verdict(Against.INGREDIENT in against, "above it"),
    )


def _stricter(card: Card) -> Iterator[Given]:
    for by, words, value, unit in (
        (card.hours_by, "skin test at least", card.hours_least, "h before"),
        (card.days_by, "result used for at most", card.days_most, "days"),
        (card.age_by, "at least this old", card.age_least, "years"),
    ):
        if by in _FROM:
            yield Given(f"{_FROM[DecidedBy(by)]}, {words}", shown(value), unit)


def _verdict(stands: bool, words: str) -> str:
    return words if stands else "no reason"


def _gathered(against: frozenset[Against]) -> str:
    return "each line above that is against it" if against else "no line above is against it"


def _ago(days: int) -> str:
    weeks, rest = divmod(days, 7)
    parts = [counted(weeks, "week")] if weeks else []
    parts += [counted(rest, "day")] if rest or not weeks else []
    return " and ".join(parts)


def _span(days: int) -> str:
    weeks, rest = divmod(days, 7)
    return f"{weeks} × 7 + {rest}" if rest else f"{weeks} × 7"


def _days(days: Decimal) -> str:
    return counted(round_half_up(days, 1), "day")


def _number(value: Value | None) -> Decimal | None:
    return value if isinstance(value, Decimal) else None
