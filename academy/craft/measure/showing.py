"""Figures for people: rounded half up, without needless zeros, with their unit."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache

from academy.craft.measure.kinds import MINUTES_IN_A_DAY, Kind, Order, Ratio, Several, Spot, Value

_ROOMY = Context(prec=80)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_PLACES = {
    Kind.GRAMS: 1,
    Kind.SHARE: 1,
    Kind.LENGTH: 2,
    Kind.AREA: 1,
    Kind.HOURS: 1,
    Kind.MILLIMETRES: 1,
}


def round_half_up(value: Decimal, places: int = 0) -> Decimal:
    """Round for display, halves away from zero; ``places`` decimals."""
    exponent = value.as_tuple().exponent
    if not isinstance(exponent, int) or exponent >= -places:
        return value
    return value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, _ROOMY)


# The same few figures come again and again in a question. Typed: 1.0 stays refused beside 1.
@lru_cache(maxsize=8192, typed=True)
def shown(value: Decimal | int, places: int | None = None) -> str:
    """A plain figure without needless zeros or exponent, with a real minus sign.

    Without ``places`` a figure is shown as it is, at most 4 decimals. A binary float is refused
    with ``TypeError``: it would print noise.
    """
    if isinstance(value, float):
        raise TypeError("Show a Decimal, not a binary float.")
    figure = round_half_up(Decimal(value), 4 if places is None else places)
    text = f"{figure:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text.startswith("-"):
        text = text[1:] if not figure else "−" + text[1:]
    return text


def with_unit(value: Decimal, unit: str) -> str:
    """A figure with its unit; the unit "1:d" gives a ratio, a word stands in the right number."""
    if unit == "1:d":
        return f"1:{shown(value)}"
    if value == 1 and unit.endswith("s"):
        unit = unit.removesuffix("s")
    return f"{shown(value)} {unit}".rstrip()


def shown_as(kind: Kind, value: Value) -> str:
    """A value as it is printed for people, rounded half up by its kind (trade.md 2.13)."""
    if isinstance(value, Decimal):
        return _figure_shown(kind, value)
    if isinstance(value, Ratio):
        return _ratio_shown(kind, value)
    if isinstance(value, Several):
        return ", ".join(key.replace("_", " ") for key in value.keys) or "none"
    if isinstance(value, Order):
        return ", ".join(key.upper() for key in value.keys)
    if isinstance(value, Spot):
        return f"{shown(value.azimuth, 0)}° round, {shown(value.elevation, 0)}° up"
    return value.replace("_", " ")


def _figure_shown(kind: Kind, value: Decimal) -> str:
    if kind is Kind.STEPS:
        return counted(value, "depth")
    if kind is Kind.CLOCK:
        return clock(value)
    if kind is Kind.DAY_TIME:
        return day_time(value)
    if kind is Kind.RATIO:
        return f"1:{shown(value, 2)}"
    return f"{shown(value, _places(kind, value))} {kind.unit}".rstrip()


def clock(minutes: Decimal | int) -> str:
    """Minutes after midnight as a 24-hour time: 690 gives "11:30"; days go round, 1450 gives
    "00:10". Who must tell the day as well says it beside, as `timing.telling.told` does.
    """
    hours, rest = divmod(int(minutes) % MINUTES_IN_A_DAY, 60)
    return f"{hours:02d}:{rest:02d}"


def of_clock(text: str) -> Decimal:
    """Minutes after midnight of "11:30"."""
    hours, minutes = text.split(":")
    return Decimal(int(hours) * 60 + int(minutes))


def day_time(minutes: Decimal | int) -> str:
    """Minutes after Monday 00:00 as day and time: 5160 gives "Thursday 14:00"; weeks go round."""
    day, rest = divmod(int(minutes), MINUTES_IN_A_DAY)
    return f"{WEEKDAYS[day % len(WEEKDAYS)]} {clock(rest)}"


def of_day_time(text: str) -> Decimal:
    """Minutes after Monday 00:00 of "Thursday 14:00"."""
    day, _, time = text.partition(" ")
    return WEEKDAYS.index(day) * MINUTES_IN_A_DAY + of_clock(time)


def counted(count: Decimal | int, one: str, many: str | None = None) -> str:
    """A count with its noun in the right number: "1 part", "3 parts"."""
    return f"{shown(count)} {one if abs(count) == 1 else many or one + 's'}"


def _places(kind: Kind, value: Decimal) -> int:
    if kind is Kind.STRENGTH:
        return 2 if value < 2 else 1
    return _PLACES.get(kind, 0)


def _ratio_shown(kind: Kind, value: Ratio) -> str:
    if kind is Kind.RATIO:
        return f"1:{shown(value.second_to_one, 2)}"
    return str(value)
