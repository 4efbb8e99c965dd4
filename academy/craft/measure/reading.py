"""Reading a figure as people write it: comma or point, units in words, fractions, clock times."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from academy.craft.measure.kinds import (
    MINUTES_IN_A_DAY,
    NONE,
    YES_OR_NO,
    Choice,
    Kind,
    Order,
    Ratio,
    Several,
    Value,
)
from academy.craft.measure.showing import WEEKDAYS, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

LONGEST_ANSWER = 60
VOLUME_TO_PERCENT = Decimal("0.3")
STRONGEST_DEVELOPER = Decimal(12)
_MOST_DIGITS = 7


@dataclass(frozen=True, slots=True)
class Reading:
    """What was understood of a typed answer.

    ``value`` is None when the text was empty or could not be read; ``sentence`` says how it
    reads ("Reads as 30 g"), or what form is expected. ``doubt`` asks about a figure that was
    read but looks like another unit ("6 vol is only 1.8 %. Did you mean …").
    """

    text: str
    value: Value | None
    sentence: str
    doubt: str = ""

    @property
    def empty(self) -> bool:
        """Nothing was typed."""
        return not self.text.strip()

    @property
    def understood(self) -> bool:
        """There is a value to mark."""
        return self.value is not None


class _Form(NamedTuple):
    """What a kind expects and two examples, so that one of them is never the answer."""

    expected: str
    examples: tuple[Value, Value]


_FORMS = {
    Kind.GRAMS: _Form("This line is weighed. Give grams", (Decimal(45), Decimal(35))),
    Kind.STRENGTH: _Form("This is a strength. Give per cent or volume", (Decimal(5), Decimal(7))),
    Kind.SHARE: _Form("This is a share. Give per cent", (Decimal(35), Decimal(65))),
    Kind.RATIO: _Form("This is a ratio. Give both parts", (Ratio(1, 3), Ratio(1, 4))),
    Kind.PARTS: _Form("These are parts. Give both parts", (Ratio(4, 7), Ratio(5, 8))),
    Kind.MINUTES: _Form("This is a length of time. Give minutes", (Decimal(12), Decimal(18))),
    Kind.CLOCK: _Form("This is a clock time. Give hours and minutes", (Decimal(485), Decimal(547))),
    Kind.DAY_TIME: _Form(
        "This is a day and a time. Give the weekday with hours and minutes",
        (Decimal(485), Decimal(1987)),
    ),
    Kind.DEPTH: _Form(
        "This is a depth. Give a whole number from 1 to 10", (Decimal(2), Decimal(9))
    ),
    Kind.COUNT: _Form("This is a count. Give a whole number", (Decimal(7), Decimal(11))),
    Kind.LENGTH: _Form("This is a length. Give centimetres", (Decimal("4.2"), Decimal("3.7"))),
    Kind.AREA: _Form("This is an area. Give square centimetres", (Decimal(610), Decimal(430))),
    Kind.HOURS: _Form("This is a length of time. Give hours", (Decimal(20), Decimal(30))),
    Kind.MILLIMETRES: _Form("This is a length. Give millimetres", (Decimal(5), Decimal(14))),
    Kind.STEPS: _Form("This is a number of depths. Give a whole number", (Decimal(2), Decimal(6))),
}

_UNIT_WORDS = {
    Kind.GRAMS: {"g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"},
    Kind.SHARE: {"%", "percent", "per cent", "pc", "pct"},
    Kind.STRENGTH: {"%", "percent", "per cent", "pc", "pct"},
    Kind.LENGTH: {"cm", "centimetre", "centimetres", "centimeter", "centimeters"},
    Kind.AREA: {"cm2", "cm²", "sq cm", "square centimetres"},
    Kind.HOURS: {"h", "hr", "hrs", "hour", "hours"},
    Kind.MINUTES: {"min", "mins", "minute", "minutes", "m", "'", "′"},
    Kind.COUNT: {"foil", "foils", "stitch", "stitches", "day", "days"},
    Kind.MILLIMETRES: {"mm", "millimetre", "millimetres", "millimeter", "millimeters"},
    Kind.STEPS: {"depth", "depths", "level", "levels", "step", "steps"},
}
_VOLUME_WORDS = {"vol", "vols", "volume", "volumes", "v"}
_WEIGHED = {"", *_UNIT_WORDS[Kind.GRAMS]}
_HOUR_WORDS = _UNIT_WORDS[Kind.HOURS]
_WHOLE = {Kind.COUNT, Kind.STEPS}
_NONE_WORDS = {"none", "no", "nothing", "never", "none of these", "n/a", "na", "-", "–", "—"}

_MORE_FIGURES = re.compile(r"[.,]?\d")
_SPACES = re.compile(r"\s+")
_FIGURE = re.compile(r"(?P<figure>\d+(?:[.,]\d+)?|[.,]\d+)(?P<rest>.*)")
_SLASHED = re.compile(r"(?:(\d+) )?(\d+) ?/ ?(\d+)(?P<rest>.*)")
_CLOCK = re.compile(r"(\d{1,2})(?: ?[:.,h] ?| )(\d{2})(?: ?h| ?(am|pm|a\.m\.|p\.m\.))?")
_DAY_FIRST = re.compile(r"(?:on )?([a-z]{2,9})\.?,?(?: at)? ?(\d.*)")
_DAY_LAST = re.compile(r"(\d.*?),?(?: on)? ([a-z]{2,9})\.?")
_CLOCK_PLAIN = re.compile(r"(\d{2})(\d{2})(?: ?h)?")
_LASTING = re.compile(r"(\d{1,2}) ?(?:h|hr|hrs|hour|hours|:) ?(\d{2})(?: ?(?:min|mins|m))?")
_PARTS_BETWEEN = re.compile(r" ?(?::|/|\+|\bto\b) ?")
_LISTED = re.compile(r"[,;\n]")
_DEPTH = re.compile(r"(?:depth |level )?(\d{1,2})(?:,? (?:natural|neutral))?")


def read_answer(
    kind: Kind,
    text: str,
    choices: Sequence[Choice] = (),
    avoid: Value | None = None,
    *,
    or_none: bool = False,
) -> Reading:
    """Read what a person typed into a field of this kind; never raises.

    Comma or point decimals, units in words or signs, fractions ("½", "1 1/2"), ratios with a
    colon, "to" or "+", clock times with colon, point or nothing between are understood. A
    strength in volume becomes per cent by the trade table, percent = 0.3 × volume. ``choices``
    are the answers of a field with choices; ``avoid`` is a value the example must not give away.
    With ``or_none`` "none" and a dash are an answer too. A spot is read where the head is known.
    """
    plain = _plain(text)
    if not plain:
        return Reading(text, None, "Nothing written yet.")
    if kind in _CHOOSERS:
        return _CHOOSERS[kind](text, plain, choices or YES_OR_NO)
    if or_none and plain.rstrip(".") in _NONE_WORDS:
        return Reading(text, NONE, "Reads as none")
    return _read_figure(kind, text, plain, avoid, or_none=or_none)


def _read_figure(
    kind: Kind, text: str, plain: str, avoid: Value | None, *, or_none: bool
) -> Reading:
    if len(plain) > LONGEST_ANSWER:
        return Reading(text, None, f"That is too long for one figure. {_expected(kind, avoid)}")
    value, doubt = _READERS.get(kind, _read_number)(kind, plain)
    if value is None:
        or_else = " Write none where there is none." if or_none else ""
        return Reading(text, None, (doubt or _expected(kind, avoid)) + or_else)
    return Reading(text, value, f"Reads as {_read_back(kind, value)}", doubt)


def _plain(text: str) -> str:
    """Lower case, single spaces, vulgar fractions as "1/2", digits and signs of one kind."""
    spread = "".join(_unfold(letter) for letter in text[: 10 * LONGEST_ANSWER])
    folded = unicodedata.normalize("NFKC", spread).replace("\u2044", "/").replace("\u2236", ":")
    folded = folded.replace("\u2212", "-").replace("²", "2")
    return _SPACES.sub(" ", folded).strip().casefold()


def _unfold(letter: str) -> str:
    """A space before a vulgar fraction, so that "1½" is not read as 11/2."""
    return f" {letter}" if "VULGAR FRACTION" in unicodedata.name(letter, "") else letter


def _expected(kind: Kind, avoid: Value | None) -> str:
    form = _FORMS[kind]
    first, second = form.examples
    example = second if _same(first, avoid) else first
    return f"{form.expected}, for example {shown_as(kind, example)}."


def _same(example: Value, avoid: Value | None) -> bool:
    if isinstance(example, Decimal) and isinstance(avoid, Decimal):
        return abs(example - avoid) <= 1
    return example == avoid


def _read_back(kind: Kind, value: Value) -> str:
    if isinstance(value, Decimal) and kind not in {Kind.CLOCK, Kind.DAY_TIME, Kind.DEPTH}:
        return f"{shown(value)} {kind.unit}".rstrip()
    if kind is Kind.DEPTH and isinstance(value, Decimal):
        return f"depth {shown(value)}"
    return shown_as(kind, value)


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
        return None, ""
    if kind in _WHOLE and value != int(value):
        return None, ""
    if kind is Kind.SHARE and value > 100:
        return None, f"{shown(value)} % is more than the whole. Give a share from 0 to 100 %."
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


def _read_ratio(_kind: Kind, text: str) -> tuple[Ratio | None, str]:
    sides = _PARTS_BETWEEN.split(re.sub(r"\bparts?\b", "", text).strip())
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


def _read_day_time(kind: Kind, text: str) -> tuple[Decimal | None, str]:
    """ "Thursday 14:00", "thu 14.00", "14:00 on Thurs."."""
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
    return days[0] * MINUTES_IN_A_DAY + minutes, ""


def _read_minutes(kind: Kind, text: str) -> tuple[Decimal | None, str]:
    if lasting := _LASTING.fullmatch(text):
        hours, minutes = int(lasting[1]), int(lasting[2])
        return (Decimal(hours * 60 + minutes), "") if minutes < 60 else (None, "")
    found = _number(text)
    if found and found[1].rstrip(".") in _HOUR_WORDS:
        return _whole_minutes(found[0] * 60)
    value, doubt = _read_number(kind, text)
    return (None, doubt) if value is None else _whole_minutes(value)


def _whole_minutes(value: Decimal) -> tuple[Decimal | None, str]:
    if value != int(value):
        return None, "Times are in whole minutes. Round to the minute."
    return value, ""


def _read_depth(_kind: Kind, text: str) -> tuple[Decimal | None, str]:
    found = _DEPTH.fullmatch(text)
    if found is None or not 1 <= int(found[1]) <= 10:
        return None, ""
    return Decimal(int(found[1])), ""


_READERS: dict[Kind, Callable[[Kind, str], tuple[Decimal | Ratio | None, str]]] = {
    Kind.STRENGTH: _read_strength,
    Kind.RATIO: _read_ratio,
    Kind.PARTS: _read_ratio,
    Kind.CLOCK: _read_clock,
    Kind.DAY_TIME: _read_day_time,
    Kind.MINUTES: _read_minutes,
    Kind.DEPTH: _read_depth,
    Kind.STEPS: _read_steps,
}


def _read_choice(text: str, plain: str, choices: Iterable[Choice]) -> Reading:
    offered = list(choices)
    choice = _choice_meant(plain, offered)
    if choice is not None:
        return Reading(text, choice.key, f"Reads as {choice.label.lower()}")
    words = " or ".join(
        [", ".join(c.label.lower() for c in offered[:-1]), offered[-1].label.lower()]
    )
    return Reading(text, None, f"Choose one of these: {words}.")


def _choice_meant(plain: str, offered: Iterable[Choice]) -> Choice | None:
    wanted = _letters(plain)
    for choice in offered:
        words = (choice.key, choice.label, *choice.also)
        if wanted and wanted in {_letters(word) for word in words}:
            return choice
    return None


def _choices_meant(plain: str, offered: Sequence[Choice]) -> list[Choice] | str:
    """The choices that a list names, in its order; the word that is none of them."""
    listed = [part for part in _LISTED.split(plain) if part.strip()]
    found = [_choice_meant(part, offered) for part in listed]
    if None in found:
        listed = plain.replace(",", " ").split()
        found = [_choice_meant(part, offered) for part in listed]
    for part, choice in zip(listed, found, strict=True):
        if choice is None:
            return part[:LONGEST_ANSWER]
    return [choice for choice in found if choice is not None]


def _read_several(text: str, plain: str, offered: Sequence[Choice]) -> Reading:
    if plain.rstrip(".") in _NONE_WORDS:
        return Reading(text, Several(()), "Reads as none of these")
    found = _choices_meant(plain, offered)
    if isinstance(found, str):
        if _letters(found) == NONE:
            return Reading(text, None, "Choose some of these or none of them, not both.")
        return Reading(text, None, f"\u201c{found}\u201d is not among them. Choose from the list.")
    words = ", ".join(choice.label.lower() for choice in found)
    return Reading(text, Several.of(*(choice.key for choice in found)), f"Reads as {words}")


def _read_order(text: str, plain: str, offered: Sequence[Choice]) -> Reading:
    found = _choices_meant(plain, offered)
    if isinstance(found, str):
        return Reading(text, None, f"\u201c{found}\u201d is not among them. Use the letters.")
    keys = tuple(choice.key for choice in found)
    twice = next((choice for choice in found if keys.count(choice.key) > 1), None)
    if twice is not None:
        return Reading(text, None, f"{twice.key.upper()} stands twice. Each has one place.")
    missing = [choice.key.upper() for choice in offered if choice.key not in keys]
    if missing:
        verb = "is" if len(missing) == 1 else "are"
        return Reading(text, None, f"{', '.join(missing)} {verb} missing. Each has one place.")
    return Reading(text, Order(keys), f"Reads as {', '.join(key.upper() for key in keys)}")


_CHOOSERS: dict[Kind, Callable[[str, str, Sequence[Choice]], Reading]] = {
    Kind.CHOICE: _read_choice,
    Kind.YES_NO: _read_choice,
    Kind.SEVERAL: _read_several,
    Kind.ORDER: _read_order,
}


def _letters(words: str) -> str:
    return re.sub(r"[^a-z0-9]", "", words.casefold())
