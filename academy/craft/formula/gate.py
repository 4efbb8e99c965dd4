"""What stands against colouring a person: age, skin test, answers, and the limits in the mixture.

Sources: age, EU Annex III warning text; hours of the skin test, a trade body's guidance and the US
FDA; the days a clear result is used, common practice, no source; limits, EU Annex III. The rules
``minimum_age``, ``skin_test_hours``, ``skin_test_days`` and ``legal_limit`` hold the figures.

An empty list of reasons means that none was found in what was entered, never more than that.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.formula.limits import within

if TYPE_CHECKING:
    from academy.craft.rules import Decided, Rules

MINUTES_IN_AN_HOUR = 60
HOURS_IN_A_DAY = 24


class Against(StrEnum):
    """A reason not to go ahead, in the order in which they are looked at."""

    AGE = "age"
    HOURS = "hours"
    DAYS = "days"
    READING = "reading"
    PRODUCT = "product"
    CONTRA_INDICATION = "contra_indication"
    PEROXIDE = "peroxide"
    INGREDIENT = "ingredient"


@dataclass(frozen=True, slots=True)
class Gate:
    """The rules that decide, as they hold for an academy and the label in hand."""

    hours: Decided
    days: Decided
    age: Decided
    peroxide: Decided

    @classmethod
    def of(cls, rules: Rules) -> Gate:
        """Resolve them."""
        return cls(
            rules.decide("skin_test_hours"),
            rules.decide("skin_test_days"),
            rules.decide("minimum_age"),
            rules.decide("legal_limit", ingredient="peroxide"),
        )

    @property
    def bounds(self) -> Bounds:
        """Their figures."""
        return Bounds(self.hours.number, self.days.number, self.age.number, self.peroxide.number)


@dataclass(frozen=True, slots=True)
class Bounds:
    """Least hours and most days since the test, least age in years, most peroxide in per cent."""

    hours: Decimal
    days: Decimal
    age: Decimal
    peroxide: Decimal


@dataclass(frozen=True, slots=True)
class Appointment:
    """What is known of one appointment.

    ``clear`` is a reading without reaction, ``same_product`` that the test was made with what is
    used; per cents are those of the mixture, None where nothing is mixed.
    """

    age: Decimal
    hours_since_test: Decimal
    clear: bool
    same_product: bool = True
    contra_indication: bool = False
    peroxide: Decimal | None = None
    ingredient: Decimal | None = None
    ingredient_limit: Decimal | None = None

    def against(self, bounds: Bounds) -> frozenset[Against]:
        """Every reason not to go ahead; exactly at a bound is none."""
        found = {
            Against.AGE: self.age < bounds.age,
            Against.HOURS: self.hours_since_test < bounds.hours,
            Against.DAYS: self.hours_since_test > bounds.days * HOURS_IN_A_DAY,
            Against.READING: not self.clear,
            Against.PRODUCT: not self.same_product,
            Against.CONTRA_INDICATION: self.contra_indication,
            Against.PEROXIDE: not _within(self.peroxide, bounds.peroxide),
            Against.INGREDIENT: not _within(self.ingredient, self.ingredient_limit),
        }
        return frozenset(reason for reason, stands in found.items() if stands)


def hours_between(tested: Decimal | int, service: Decimal | int) -> Decimal:
    """Hours from the test to the service, both in minutes from the same moment."""
    return Decimal(service - tested) / MINUTES_IN_AN_HOUR


def hours_by_dates(tested: Decimal | int, service: Decimal | int) -> Decimal:
    """What counting dates gives instead, a day for 24 hours; both in minutes from a midnight."""
    a_day = HOURS_IN_A_DAY * MINUTES_IN_AN_HOUR
    return Decimal((service // a_day - tested // a_day) * HOURS_IN_A_DAY)


def earliest_service(tested: Decimal | int, bounds: Bounds) -> Decimal:
    """When the hours are full, in the minutes of ``tested``."""
    return tested + bounds.hours * MINUTES_IN_AN_HOUR


def _within(percent: Decimal | None, limit: Decimal | None) -> bool:
    return percent is None or limit is None or within(percent, limit)
