"""Foils against the clock: minutes a foil, and how many fit. Common practice, no source."""

from __future__ import annotations

from decimal import Decimal

from academy.craft.timing.errors import TimingError


def minutes_for(foils: Decimal, pace: Decimal) -> Decimal:
    """Minutes that these foils take at so many minutes a foil."""
    return foils * pace


def pace_of(foils: Decimal, minutes: Decimal) -> Decimal:
    """Minutes a foil, where so many foils took so many minutes. ``TimingError`` without foils."""
    if foils <= 0:
        raise TimingError("A pace needs at least one foil that was closed.")
    return minutes / foils


def foils_within(minutes: Decimal, pace: Decimal) -> Decimal:
    """Whole foils that fit into these minutes; none where no time is left."""
    if pace <= 0:
        raise TimingError("A foil takes some time: give a pace above zero.")
    return max(Decimal(0), minutes // pace)
