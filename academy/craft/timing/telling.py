"""Clock times in words, on the safe side where a plan does not come to whole minutes.

What must be over by a time is told a minute early rather than late, what has to be waited for a
minute late rather than early.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from academy.craft.measure import MINUTES_IN_A_DAY, clock, counted, shown

_WHOLE = Decimal(1)
_NEXT_DAY = " next day"


def told(minutes: Decimal) -> str:
    """A clock time, part minutes rounded up: "11:05", past midnight "00:10 next day"."""
    return _told(minutes.quantize(_WHOLE, ROUND_CEILING))


def told_limit(minutes: Decimal) -> str:
    """The same for what must not be passed, part minutes left out."""
    return _told(minutes.quantize(_WHOLE, ROUND_FLOOR))


def told_between(earliest: Decimal, latest: Decimal) -> str:
    """Both ends, "from 11:05 to 11:10", or "at 11:05" where no later whole minute is left.

    ``ValueError`` where it would end before it begins.
    """
    if latest < earliest:
        raise ValueError("What ends before it begins cannot be told.")
    last = told_limit(latest)
    longer = earliest.quantize(_WHOLE, ROUND_CEILING) < latest.quantize(_WHOLE, ROUND_FLOOR)
    if not longer:
        return f"at {last}"
    first, day = _parted(earliest.quantize(_WHOLE, ROUND_CEILING))
    same = last.endswith(day)
    return f"from {first} to {last}" if same else f"from {first}{day} to {last}"


def told_minutes(minutes: Decimal) -> str:
    """A length of time: "38 min"; a tenth at most."""
    return f"{shown(minutes, 1)} min"


def told_foils(numbers: tuple[int, ...]) -> str:
    """Foils by number: "foil 7", "foils 1 to 3", "foils 2, 5 and 6"."""
    if len(numbers) == 1:
        return f"foil {numbers[0]}"
    if numbers[-1] - numbers[0] == len(numbers) - 1 >= 2:
        return f"foils {numbers[0]} to {numbers[-1]}"
    return f"foils {', '.join(str(n) for n in numbers[:-1])} and {numbers[-1]}"


def how_many_foils(count: Decimal | int) -> str:
    """A count with its noun: "1 foil", "12 foils"."""
    return counted(count, "foil")


def _told(minutes: Decimal) -> str:
    return "".join(_parted(minutes))


def _parted(minutes: Decimal) -> tuple[str, str]:
    """The hour, and the day where it is another one."""
    day = minutes // MINUTES_IN_A_DAY
    if day < 1:
        return clock(minutes), ""
    return clock(minutes), _NEXT_DAY if day == 1 else f" {day} days later"
