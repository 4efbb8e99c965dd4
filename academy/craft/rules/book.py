"""The standard rules: each with its value, its range and what stands behind it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from academy.craft.measure import shown, with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

RuleValue = Decimal | str


class RuleError(Exception):
    """A house rule or label that cannot stand; the sentence says the range."""


class Mode(StrEnum):
    """How far a label or house rule may move a value."""

    FREE = "free"
    STRICTER_SMALLER = "stricter smaller"
    STRICTER_LARGER = "stricter larger"
    LOCKED = "locked"


@dataclass(frozen=True, slots=True)
class Rule:
    """One standard rule: its value, its range and what stands behind it.

    ``minimum`` and ``maximum`` are inclusive unless ``above_zero``; None is an open end.
    ``standing`` is P (published, ``source`` names where), C (common practice) or A (academy rule).
    ``label_field`` names the label entry that speaks to it, "permanent.minutes" or "*.…".
    """

    key: str
    name: str
    unit: str
    default: RuleValue
    minimum: Decimal | None = None
    maximum: Decimal | None = None
    above_zero: bool = False
    mode: Mode = Mode.FREE
    standing: str = "A"
    source: str = ""
    unsure: bool = False
    choices: tuple[str, ...] = ()
    label_field: str = ""

    @property
    def range_words(self) -> str:
        """The range as a person reads it: "35 to 45 min"."""
        if self.choices:
            return "one of " + ", ".join(self.choices)
        if self.above_zero:
            return f"anything above {with_unit(Decimal(0), self.unit)}"
        if self.minimum is None or self.maximum is None:
            return f"{with_unit(self.minimum or Decimal(0), self.unit)} or more"
        if self.minimum == self.maximum:
            return f"{with_unit(self.minimum, self.unit)} only"
        low = f"1:{shown(self.minimum)}" if self.unit == "1:d" else shown(self.minimum)
        return f"{low} to {with_unit(self.maximum, self.unit)}"

    def allows(self, value: RuleValue) -> bool:
        """Whether a house rule may take this value."""
        if self.choices:
            return value in self.choices
        if not isinstance(value, Decimal) or not value.is_finite():
            return False
        if self.above_zero and value <= 0:
            return False
        if self.minimum is not None and value < self.minimum:
            return False
        return self.maximum is None or value <= self.maximum

    def shown(self, value: RuleValue) -> str:
        """The value with the rule's unit."""
        return value if isinstance(value, str) else with_unit(value, self.unit)


@dataclass(frozen=True, slots=True)
class RuleBook:
    """The standard rules by key. ``bands`` are the lower bounds of a banded group, ascending."""

    edition: str
    rules: Mapping[str, Rule]
    dimensions: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    bands: Mapping[str, tuple[Decimal, ...]] = field(default_factory=dict)

    @classmethod
    def from_toml(cls, text: str) -> RuleBook:
        """Read the form of ``shared/rules/default.toml``."""
        data = tomllib.loads(text, parse_float=Decimal)
        edition = data.pop("edition")
        rules: dict[str, Rule] = {}
        dimensions: dict[str, tuple[str, ...]] = {}
        bands: dict[str, tuple[Decimal, ...]] = {}
        for group, body in data.items():
            dimensions[group] = tuple(body.pop("by", ()))
            if "bands" in body:
                bands[group] = tuple(Decimal(bound) for bound in body.pop("bands"))
            cells = body.pop("cells", None)
            for cell, entry in (cells or {"": {}}).items():
                rule = _rule(group, cell, {**body, **entry}, body.get("name", group))
                rules[rule.key] = rule
        return cls(edition, rules, dimensions, bands)

    def rule(self, key: str) -> Rule:
        """The rule with this full key, ``RuleError`` where there is none."""
        try:
            return self.rules[key]
        except KeyError:
            raise RuleError(f"There is no rule called {key}.") from None

    def full_key(self, key: str, which: Mapping[str, object]) -> str:
        """The key of one cell: ``white_base_share`` with white 60 gives "….normal.40"."""
        parts = [key]
        names = self.dimensions.get(key, ())
        for name in names:
            given = which[name]
            if key in self.bands and name == names[-1]:
                given = max(bound for bound in self.bands[key] if bound <= Decimal(str(given)))
            parts.append(str(given))
        return ".".join(parts)


def check_house_value(rule: Rule, value: RuleValue) -> None:
    """``RuleError`` with the range where an educator may not set this value."""
    if rule.mode is Mode.LOCKED:
        raise RuleError(
            f"{rule.name}: {rule.shown(rule.default)} is fixed by law and cannot be changed."
        )
    refuse_outside(rule, value, "Your house rule")


def refuse_outside(rule: Rule, value: RuleValue, who: str) -> None:
    """``RuleError`` with the range where ``who`` gives a value outside it.

    A value of another type is told apart: 15 outside "5 to 30" would puzzle who passed an int.
    """
    if not rule.choices and not isinstance(value, Decimal):
        raise RuleError(
            f"{rule.name}: {value!r} is of type {type(value).__name__}; a figure must be a "
            f'Decimal. Write it like Decimal("12.5"). Allowed: {rule.range_words}.'
        )
    if not rule.allows(value):
        raise RuleError(
            f"{rule.name}: {who[0].lower()}{who[1:]} gives {rule.shown(value)}. "
            f"Allowed: {rule.range_words}."
        )


def _rule(group: str, cell: str, entry: Mapping[str, Any], group_name: str) -> Rule:
    default = entry["default"]
    span = entry.get("range")
    bounds: dict[str, Any] = {}
    if span == "positive":
        bounds = {"minimum": Decimal(0), "above_zero": True}
    elif span:
        bounds = {"minimum": Decimal(span[0])}
        if len(span) > 1:
            bounds["maximum"] = Decimal(span[1])
    return Rule(
        key=f"{group}.{cell}" if cell else group,
        name=f"{group_name}, {entry['words']}" if "words" in entry else group_name,
        unit=entry.get("unit", ""),
        default=default if isinstance(default, str) else Decimal(default),
        mode=Mode(entry.get("mode", "free")),
        standing=entry["standing"],
        source=entry.get("source", ""),
        unsure=entry.get("unsure", False),
        choices=tuple(entry.get("choices", ())),
        label_field=entry.get("label_field", ""),
        **bounds,
    )
