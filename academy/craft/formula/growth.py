"""Regrowth from weeks, and back. Centimetres; a month has 30.44 days (a year by twelve).

The rate is the rule ``growth``: 1.25 cm a month (published in salon texts, 1.25 to 1.27; 0.8 to
1.3 over 21 countries).
"""

from __future__ import annotations

from decimal import Decimal

DAYS_IN_A_WEEK = 7
DAYS_IN_A_MONTH = Decimal("30.44")
CM_IN_AN_INCH = Decimal("2.54")
"""By definition."""


def regrowth_after(weeks: Decimal | int, cm_a_month: Decimal) -> Decimal:
    """Centimetres grown in so many weeks."""
    return cm_a_month * weeks * DAYS_IN_A_WEEK / DAYS_IN_A_MONTH


def months_of(regrowth_cm: Decimal, cm_a_month: Decimal) -> Decimal:
    """Months in which so much has grown."""
    return regrowth_cm / cm_a_month
