"""An appointment card: what is written on it, and what the gate makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.formula.gate import (
    HOURS_IN_A_DAY,
    Against,
    Appointment,
    Bounds,
    earliest_service,
    hours_between,
    hours_by_dates,
)
from academy.craft.formula.mixture import ingredient_on_the_head, on_the_head
from academy.craft.formula.strength import exact_percent, volume_of_percent
from academy.craft.measure import MINUTES_IN_A_DAY, NONE, round_half_up

if TYPE_CHECKING:
    from academy.craft.measure import Value

CLEAR, NOT_READ, REACTED = "clear", "not read", "redness and itching"
NO_TO_ALL = "no to all"
CONTRA_INDICATIONS = (
    "yes: a sore scalp",
    "yes: a reaction after an earlier colour",
    "yes: a reaction to a black henna tattoo",
)
DAYS_OF_WORK = 6
A_WEEK = 7 * MINUTES_IN_A_DAY


@dataclass(frozen=True, slots=True)
class Card:
    """One appointment. ``tested`` and ``service`` are minutes after Monday 00:00.

    ``days`` is None where the test lies in the same week, else the whole days since then, with
    ``tested`` unused. ``…_least``, ``…_most`` and the limits are the rules' values, ``…_rule`` and
    ``…_by`` say who decided them. Per cents are None at level first, where nothing is mixed.
    """

    level: str
    age: int
    tested: int
    service: int
    days: int | None
    reading: str
    same_product: bool
    asked: str
    last_colour: int
    hours_least: Decimal
    hours_rule: str
    hours_by: str
    days_most: Decimal
    days_rule: str
    days_by: str
    age_least: Decimal
    age_rule: str
    age_by: str
    peroxide_limit: Decimal
    percent: Decimal | None = None
    in_volume: bool = False
    d: Decimal | None = None
    ingredient: str = ""
    tube: Decimal | None = None
    limit: Decimal | None = None

    @property
    def bounds(self) -> Bounds:
        """The figures of the rules."""
        return Bounds(self.hours_least, self.days_most, self.age_least, self.peroxide_limit)

    @property
    def hours(self) -> Decimal:
        """Hours since the test."""
        if self.days is not None:
            return Decimal(self.days * HOURS_IN_A_DAY)
        return hours_between(self.tested, self.service)

    @property
    def hours_by_dates(self) -> Decimal:
        """Hours since the test as somebody counts them who counts dates."""
        if self.days is not None:
            return self.hours
        return hours_by_dates(self.tested, self.service)

    @property
    def strength(self) -> Decimal | None:
        """Peroxide per cent in the mixture."""
        if self.percent is None or self.d is None:
            return None
        return on_the_head(self.percent, self.d)

    @property
    def mixed(self) -> Decimal | None:
        """Per cent of the ingredient in the mixture."""
        if self.tube is None or self.d is None:
            return None
        return ingredient_on_the_head(self.tube, self.d)

    @property
    def exact_bottle(self) -> Decimal | None:
        """The bottle's per cent by the laboratory's conversion, where it is named by volume."""
        if self.percent is None or not self.in_volume:
            return None
        return round_half_up(exact_percent(volume_of_percent(self.percent)), 2)

    def appointment(
        self, hours: Decimal | None = None, ingredient: Decimal | None = None
    ) -> Appointment:
        """What the gate looks at; own figures stand in for the right ones."""
        return Appointment(
            age=Decimal(self.age),
            hours_since_test=self.hours if hours is None else hours,
            clear=self.reading == CLEAR,
            same_product=self.same_product,
            contra_indication=self.asked != NO_TO_ALL,
            peroxide=self.strength,
            ingredient=self.mixed if ingredient is None else ingredient,
            ingredient_limit=self.limit,
        )

    @property
    def against(self) -> frozenset[Against]:
        """Every reason not to go ahead."""
        return self.appointment().against(self.bounds)

    @property
    def earliest(self) -> Value:
        """When the hours are full, if nothing else stands against it; else none."""
        if self.against != {Against.HOURS}:
            return NONE
        return earliest_service(self.tested, self.bounds) % A_WEEK
