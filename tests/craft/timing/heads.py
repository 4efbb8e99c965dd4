"""Heads for the tests of the clock: foils in four sections, and the usual figures."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from academy.craft.timing.head_clock import ClockSettings, LaidFoil, RootColour

D = Decimal
SECTIONS = ("crown", "left side", "right side", "top")
ROOTS = RootColour(D(20), D(40), D(50))


def laid(count: int, a_parting: int = 2) -> list[LaidFoil]:
    """So many foils, a few on each parting, the sections one after another."""
    places = [SECTIONS[k * len(SECTIONS) // count] for k in range(count)]
    return [LaidFoil(k + 1, k // a_parting, place, place) for k, place in enumerate(places)]


def usual(**figures: Any) -> ClockSettings:
    """10:00, 2 min a foil, a look after 20, 20 to 50 min, 5 min between roots and foils."""
    given: dict[str, Any] = {
        "starts_at": D(600),
        "pace": D(2),
        "foil_check_after": D(20),
        "foil_least": D(20),
        "foil_ceiling_after": D(50),
        "change_over": D(5),
    }
    return ClockSettings(**{**given, **figures})
