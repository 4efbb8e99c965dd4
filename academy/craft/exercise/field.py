"""One line to answer: how it is read, which values earn the marks, which are not safe."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.packing import pack, unpack_value
from academy.craft.exercise.spots import read_spot, spot_shown
from academy.craft.measure import (
    EXACT,
    Choice,
    Kind,
    Reading,
    Several,
    Spot,
    Tolerance,
    Value,
    read_answer,
    shown_as,
)

if TYPE_CHECKING:
    from collections.abc import Mapping


class Safety(StrEnum):
    """When a wrong answer would be dangerous on a head, not merely wrong."""

    LATER = "later"
    YES_FOR_NO = "yes_for_no"
    ABOVE = "above"
    LISTED = "listed"

    @property
    def warning(self) -> str:
        """What an unsafe answer is told first."""
        return {
            Safety.LATER: "Not safe: that is past the ceiling.",
            Safety.YES_FOR_NO: "Not safe: the answer is no.",
            Safety.ABOVE: "Not safe: that is over the limit.",
            Safety.LISTED: "Not safe: that would go on where it has to end.",
        }[self]


@dataclass(frozen=True, slots=True)
class Field:
    """One line to answer.

    ``also`` are further values that earn the marks, where the trade accepts more than the key.
    ``safety`` says when an answer is unsafe: ABOVE looks at ``limit``, LATER at the right value or
    the ``limit`` where there is one, LISTED at the choices in ``unsafe``. With ``or_none`` "none"
    is an answer, with ``over_whole`` a share above 100 %. ``needs`` are the beginnings of the
    labels of the givens that this line is worked from, the first ones first.
    """

    key: str
    label: str
    kind: Kind
    weight: int = 1
    tolerance: Tolerance = EXACT
    safety: Safety | None = None
    choices: tuple[Choice, ...] = ()
    also: tuple[Value, ...] = ()
    limit: Decimal | None = None
    unsafe: tuple[str, ...] = ()
    or_none: bool = False
    over_whole: bool = False
    needs: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """The sign printed behind the box."""
        return self.kind.unit

    @property
    def widget(self) -> str:
        """How a page asks for it: number, ratio, time, day_time, shade, choice and so on."""
        return _WIDGETS.get(self.kind, "number")

    def read(self, text: str, avoid: Value | None = None) -> Reading:
        """What was understood of the typed text."""
        if self.kind is Kind.SPOT:
            return read_spot(text)
        return read_answer(
            self.kind,
            text,
            self.choices,
            avoid,
            or_none=self.or_none,
            over_whole=self.over_whole,
        )

    def earns(self, right: Value, given: Value) -> bool:
        """Whether ``given`` earns the marks: within tolerance of the key or accepted beside it."""
        return any(self.tolerance.covers(value, given) for value in (right, *self.also))

    def is_unsafe(self, right: Value, given: Value) -> bool:
        """Whether ``given`` would be dangerous on a head."""
        if self.safety is Safety.YES_FOR_NO:
            return right == "no" and given == "yes"
        if self.safety is Safety.LISTED:
            return given in self.unsafe
        most = right if self.limit is None else self.limit
        if self.safety is None or not isinstance(most, Decimal) or not isinstance(given, Decimal):
            return False
        return given > most

    def printed(self, value: Value) -> str:
        """A value of this field ready to print; choices by their words."""
        if isinstance(value, Several):
            return "; ".join(map(self._word, value.keys)) or "none of these"
        if isinstance(value, Spot):
            return spot_shown(value)
        found = self._word(value) if isinstance(value, str) else ""
        return found if found != value and found else shown_as(self.kind, value)

    def to_data(self) -> dict[str, Any]:
        """Plain data for JSON."""
        tolerance = self.tolerance
        steps = [
            tolerance.plain,
            tolerance.small,
            tolerance.small_below,
            tolerance.large_percent,
            tolerance.large_above,
        ]
        return {
            "key": self.key,
            "label": self.label,
            "kind": str(self.kind),
            "weight": self.weight,
            "tolerance": [None if step is None else str(step) for step in steps],
            "safety": str(self.safety) if self.safety else None,
            "choices": [[choice.key, choice.label, list(choice.also)] for choice in self.choices],
            "also": [pack(value) for value in self.also],
            "limit": None if self.limit is None else str(self.limit),
            "unsafe": list(self.unsafe),
            "or_none": self.or_none,
            "over_whole": self.over_whole,
            "needs": list(self.needs),
        }

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Field:
        """The reverse of ``to_data``."""
        steps = [None if step is None else Decimal(step) for step in data["tolerance"]]
        return cls(
            key=data["key"],
            label=data["label"],
            kind=Kind(data["kind"]),
            weight=data["weight"],
            tolerance=Tolerance(steps[0] or Decimal(0), *steps[1:]),
            safety=Safety(data["safety"]) if data["safety"] else None,
            choices=tuple(Choice(key, label, tuple(also)) for key, label, also in data["choices"]),
            # Questions drawn before 2026-12 know nothing of these.
            also=tuple(unpack_value(value) for value in data.get("also", ())),
            limit=Decimal(data["limit"]) if data.get("limit") else None,
            unsafe=tuple(data.get("unsafe", ())),
            or_none=data.get("or_none", False),
            over_whole=data.get("over_whole", False),
            needs=tuple(data.get("needs", ())),
        )

    def _word(self, key: str) -> str:
        return next((choice.label for choice in self.choices if choice.key == key), key)


_WIDGETS = {
    Kind.RATIO: "ratio",
    Kind.PARTS: "ratio",
    Kind.CLOCK: "time",
    Kind.DAY_TIME: "day_time",
    Kind.DEPTH: "shade",
    Kind.CHOICE: "choice",
    Kind.YES_NO: "choice",
    Kind.SEVERAL: "several",
    Kind.ORDER: "order",
    Kind.SPOT: "spot",
}
