"""Reading an answer as people write it: comma or point, units in words, fractions, clock times."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from academy.craft.measure.choosing import CHOOSERS, NONE_WORDS
from academy.craft.measure.figures import VOLUME_TO_PERCENT, read_figure
from academy.craft.measure.kinds import NONE, YES_OR_NO, Choice, Kind, Ratio, Value
from academy.craft.measure.showing import shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["VOLUME_TO_PERCENT", "Reading", "read_answer"]

LONGEST_ANSWER = 60
_LISTS = {Kind.SEVERAL, Kind.ORDER}
_SHOWN_WHOLE = {Kind.CLOCK, Kind.DAY_TIME, Kind.DEPTH, Kind.STEPS}
_SPACES = re.compile(r"\s+")
_ABOUT = re.compile(r"^[=~≈] ?")


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


def read_answer(
    kind: Kind,
    text: str,
    choices: Sequence[Choice] = (),
    avoid: Value | None = None,
    *,
    or_none: bool = False,
    over_whole: bool = False,
) -> Reading:
    """Read what a person typed into a field of this kind; never raises.

    Comma or point decimals, units in words or signs, fractions ("½", "1 1/2"), ratios with a
    colon, "to" or "+", clock times with colon, point or nothing between are understood. A
    strength in volume becomes per cent by the trade table, percent = 0.3 × volume; a length or a
    time may stand in a neighbouring unit ("42 mm" where centimetres are asked). ``choices``
    are the answers of a field with choices; ``avoid`` is a value the example must not give away.
    With ``or_none`` "none" and a dash are an answer too, and so is a weight of 0 g; with
    ``over_whole`` a share above 100 % is doubted, not refused. A spot is read where the head is
    known.
    """
    # A list may have a line for each.
    plain = _plain(text.replace("\n", "; ") if kind in _LISTS else text)
    if not plain:
        return Reading(text, None, "Nothing written yet.")
    if kind in CHOOSERS:
        return Reading(text, *CHOOSERS[kind](plain, choices or YES_OR_NO))
    if or_none and plain.rstrip(".") in NONE_WORDS:
        return Reading(text, NONE, "Reads as none")
    return _read_figure(kind, text, plain, avoid, or_none=or_none, over_whole=over_whole)


def _read_figure(
    kind: Kind, text: str, plain: str, avoid: Value | None, *, or_none: bool, over_whole: bool
) -> Reading:
    if len(plain) > LONGEST_ANSWER:
        return Reading(text, None, f"That is too long for one figure. {_expected(kind, avoid)}")
    value, doubt = read_figure(kind, _ABOUT.sub("", plain), over_whole=over_whole)
    if or_none and kind is Kind.GRAMS and value == 0:
        return Reading(text, NONE, "Reads as none")
    if value is None:
        or_else = " Write none where there is none." if or_none else ""
        reason = f"{doubt} For example {_example(kind, avoid)}." if doubt else ""
        return Reading(text, None, (reason or _expected(kind, avoid)) + or_else)
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
    return f"{_FORMS[kind].expected}, for example {_example(kind, avoid)}."


def _example(kind: Kind, avoid: Value | None) -> str:
    first, second = _FORMS[kind].examples
    return shown_as(kind, second if _same(first, avoid) else first)


def _same(example: Value, avoid: Value | None) -> bool:
    if isinstance(example, Decimal) and isinstance(avoid, Decimal):
        return abs(example - avoid) <= 1
    return example == avoid


def _read_back(kind: Kind, value: Value) -> str:
    if isinstance(value, Decimal) and kind not in _SHOWN_WHOLE:
        return f"{shown(value)} {kind.unit}".rstrip()
    if kind is Kind.DEPTH and isinstance(value, Decimal):
        return f"depth {shown(value)}"
    return shown_as(kind, value)
