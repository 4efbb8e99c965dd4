"""Reading one figure of a kind: the number, the unit that may follow it, and what is odd about it.

Every reader takes a text in lower case with single spaces (``reading.py`` makes it so) and gives
the value, or None, and a doubt or the reason of the refusal.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.measure.kinds import MINUTES_IN_A_DAY, Kind, Ratio
from academy.craft.measure.showing import WEEKDAYS, shown

if TYPE_CHECKING:
    from collections.abc import Callable

VOLUME_TO_PERCENT = Decimal("0.3")
STRONGEST_DEVELOPER = Decimal(12)
_MOST_DIGITS = 7

Figure = tuple[Decimal | Ratio | None, str]

_UNIT_WORDS = {
    Kind.GRAMS: {"g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"},
    Kind.SHARE: {"%", "percent", "per cent", "pc", "pct"},
    Kind.STRENGTH: {"%", "percent", "per cent", "pc", "pct"},
    Kind.LENGTH: {"cm", "centimetre", "centimetres", "centimeter", "centimeters"},
    Kind.AREA: {"cm2", "sq cm", "square cm", "square centimetres", "square centimeters"},
    Kind.HOURS: {"h", "hr", "hrs", "hour", "hours"},
    Kind.MINUTES: {"min", "mins", "minute", "minutes", "m", "'", "′"},
    Kind.COUNT: {"foil", "foils", "stitch", "stitches", "day", "days"},
    Kind.MILLIMETRES: {"mm", "millimetre", "millimetres", "millimeter", "millimeters"},
    Kind.STEPS: {"depth", "depths", "level", "levels", "step", "steps"},
}
_DAY_WORDS = {"day", "days"}
_VOLUME_WORDS = {"vol", "vols", "volume", "volumes", "v"}
_WEIGHED = {"", *_UNIT_WORDS[Kind.GRAMS]}
_HOUR_WORDS = _UNIT_WORDS[Kind.HOURS]
_WHOLE = {Kind.COUNT, Kind.STEPS}

# A figure in a neighbouring unit is the same quantity written otherwise: times one, by the other.
_OTHER_UNITS = {
    Kind.LENGTH: ((_UNIT_WORDS[Kind.MILLIMETRES], 1, 10),),
    Kind.MILLIMETRES: ((_UNIT_WORDS[Kind.LENGTH], 10, 1),),
    Kind.MINUTES: ((_HOUR_WORDS, 60, 1),),
    Kind.HOURS: ((_DAY_WORDS, 24, 1), (_UNIT_WORDS[Kind.MINUTES], 1, 60)),
}

_MORE_FIGURES = re.compile(r"[.,]?\d")
_FIGURE = re.compile(r"(?P<figure>\d+(?:[.,]\d+)?|[.,]\d+)(?P<rest>.*)")
_SLASHED = re.compile(r"(?:(\d+) )?(\d+) ?/ ?(\d+)(?P<rest>.*)")
_CLOCK = re.compile(
    r"(?:at )?(\d{1,2})(?: ?[:.,h] ?| )(\d{2})(?: ?h| o['’]clock| ?(am|pm|a\.m\.|p\.m\.))?"
)
_DAY_FIRST = re.compile(r"(?:on )?([a-z]{2,9})\.?,?(?: at)? ?(\d.*)")
_DAY_LAST = re.compile(r"(\d.*?),?(?: on)? ([a-z]{2,9})\.?")
_CLOCK_PLAIN = re.compile(r"(\d{2})(\d{2})(?: ?h)?")
_LASTING = re.compile(r"(\d{1,2}) ?(?:h|hr|hrs|hour|hours|:) ?(\d{2})(?: ?(?:h|min|mins|m))?")
_PARTS_BETWEEN = re.compile(r" ?(?::|\+|&|\bto\b|\band\b) ?")
_PARTS_SLASHED = re.compile(r" ?/ ?")
_DEPTH = re.compile(r"(?:depth ?|level ?)?(\d{1,2})(?:[.,]0+)?(?:,? (?:natural|neutral))?")


def read_figure(kind: Kind, text: str, *, over_whole: bool = False) -> Figure:
    """The value and its doubt, or None and why not.

    A share above 100 % is refused, or with ``over_whole`` read and doubted.
    """
    value, doubt = _READERS.get(kind, _read_number)(kind, text)
    if kind is Kind.SHARE and isinstance(value, Decimal) and value > 100:
        more = f"{shown(value)} % is more than the whole."
        return (value, more) if over_whole else (None, f"{more} Give a share from 0 to 100 %.")
    return value, doubt


def _number(text: str) -> tuple[Decimal, str] | None:
    """The leading figure and what follows it, or None where there is no single figure."""
    if slashed := _SLASHED.fullmatch(text):
        whole, top, bottom = slashed.group(1), slashed.group(2), slashed.group(3)
        if max(len(top), len(bottom), len(whole or "")) > _MOST_DIGITS or int(bottom) == 0:
            return None
        return Decimal(whole or 0) + Decimal(top) / Decimal(bottom), slashed["rest"].strip()
    found = _FIGURE.fullmatch(text)
    if found is None:
        return None
    figure, rest = found["figure"].replace(",", "."), found["rest"].strip()
    whole, _, part = figure.partition(".")
    # A second mark ("1.500,0") leaves figures in the rest: which one was meant is not guessed.
    if len(whole) > _MOST_DIGITS or len(part) > _MOST_DIGITS or _MORE_FIGURES.match(rest):
        return None
    return Decimal(figure), rest


def _read_number(kind: Kind, text: str) -> tuple[Decimal | None, str]:
    found = _number(text.removeprefix("+"))
    if found is None:
        return None, ""
    value, rest = found
    rest = rest.rstrip(".").strip()
    if rest and rest not in _UNIT_WORDS.get(kind, set()):
        others = [(up, by) for words, up, by in _OTHER_UNITS.get(kind, ()) if rest in words]
        if not others:
            return None, ""
        up, by = others[0]
        value = value * up / by
    if kind in _WHOLE and value != int(value):
        return None, ""
    return value, _share_doubt(value) if kind is Kind.SHARE else ""


def _read_steps(kind: Kind, text: str) -> tuple[Decimal | None, str]:
    """Depths of lift may be below zero: hair that goes darker."""
    value, doubt = _read_number(kind, text.removeprefix("-").strip())
    return (-value if value is not None and text.startswith("-") else value), doubt


def _share_doubt(value: Decimal) -> str:
    if 0 < value < 1:
        return (
            f"{shown(value)} % is less than one in a hundred. Did you mean {shown(value * 100)} %?"
        )
    return ""


def _read_strength(kind: Kind, text: str) -> tuple[Decimal | None, str]:
    found = _number(text.removeprefix("vol ").removeprefix("+"))
    if found is None:
        return None, ""
    value, rest = found
    rest = rest.rstrip(".").strip()
    if rest in _VOLUME_WORDS or text.startswith("vol "):
        percent = value * VOLUME_TO_PERCENT
        return percent, _volume_doubt(value, percent)
    if rest and rest not in _UNIT_WORDS[kind]:
        return None, ""
    return value, _percent_doubt(value)


def _volume_doubt(volume: Decimal, percent: Decimal) -> str:
    if 0 < volume <= STRONGEST_DEVELOPER and volume != 10:
        twin = volume / VOLUME_TO_PERCENT
        return (
            f"{shown(volume)} vol is only {shown(percent, 2)} %. "
            f"Did you mean {shown(volume)} %, which is {shown(twin, 1)} vol?"
        )
    return ""


def _percent_doubt(percent: Decimal) -> str:
    if percent > STRONGEST_DEVELOPER and percent <= STRONGEST_DEVELOPER / VOLUME_TO_PERCENT:
        twin = percent * VOLUME_TO_PERCENT
        return (
            f"{shown(percent)} % is stronger than any developer. "
            f"Did you mean {shown(percent)} vol, which is {shown(twin, 2)} %?"
        )
    return ""


def _read_ratio(_kind: Kind, text: str) -> Figure:
    words = re.sub(r"\bparts?\b", "", text).strip()
    sides = _PARTS_BETWEEN.split(words)
    if len(sides) == 1:
        # Only then: "1:1 1/2" has a fraction on one side.
        sides = _PARTS_SLASHED.split(words)
    if len(sides) != 2:
        return None, ""
    figures = [_number(side.strip()) for side in sides]
    first, second = figures
    if first is None or second is None or {first[1], second[1]} - _WEIGHED:
        return None, ""
    if not first[0] or not second[0]:
        return None, "Both parts of a ratio must be above zero."
    return Ratio.of(first[0], second[0]), ""


def _read_clock(_kind: Kind, text: str) -> tuple[Decimal | None, str]:
    found = _CLOCK.fullmatch(text) or _CLOCK_PLAIN.fullmatch(text)
    if found is None:
        return None, ""
    hours, minutes = int(found[1]), int(found[2])
    half = found[3] if found.re is _CLOCK else None
    if half:
        if not 1 <= hours <= 12:
            return None, ""
        hours = hours % 12 + (12 if half.startswith("p") else 0)
    if hours > 23 or minutes > 59:
        return None, ""
    return Decimal(hours * 60 + minutes), ""


def _read_day_time(kind: Kind, text: str) -> Figure:
    """A weekday before or after the time: "Thursday 14:00", "thu 14.00", "14:00 on Thurs"."""
    if first := _DAY_FIRST.fullmatch(text):
        word, time = first.groups()
    elif last := _DAY_LAST.fullmatch(text):
        time, word = last.groups()
    else:
        return None, ""
    stem = "wed" if word == "weds" else word
    days = [place for place, name in enumerate(WEEKDAYS) if name.casefold().startswith(stem)]
    minutes, _ = _read_clock(kind, time.strip())
    if len(days) != 1 or minutes is None:
        return None, ""
    return Decimal(days[0] * MINUTES_IN_A_DAY) + minutes, ""


def _lasting(text: str) -> Decimal | None:
    """Minutes of a length of time in hours and minutes: "0:45", "1 h 10"."""
    found = _LASTING.fullmatch(text)
    if found is None or int(found[2]) > 59:
        return None
    return Decimal(int(found[1]) * 60 + int(found[2]))


def _read_minutes(kind: Kind, text: str) -> Figure:
    value, doubt = _lasting(text), ""
    if value is None:
        value, doubt = _read_number(kind, text)
    if value is not None and value != int(value):
        return None, "Times are in whole minutes. Round to the minute."
    return value, doubt


def _read_hours(kind: Kind, text: str) -> Figure:
    minutes = _lasting(text)
    return _read_number(kind, text) if minutes is None else (minutes / 60, "")


def _read_depth(_kind: Kind, text: str) -> Figure:
    found = _DEPTH.fullmatch(text)
    if found is None or not 1 <= int(found[1]) <= 10:
        return None, ""
    return Decimal(int(found[1])), ""


_READERS: dict[Kind, Callable[[Kind, str], Figure]] = {
    Kind.STRENGTH: _read_strength,
    Kind.RATIO: _read_ratio,
    Kind.PARTS: _read_ratio,
    Kind.CLOCK: _read_clock,
    Kind.DAY_TIME: _read_day_time,
    Kind.MINUTES: _read_minutes,
    Kind.HOURS: _read_hours,
    Kind.DEPTH: _read_depth,
    Kind.STEPS: _read_steps,
}
