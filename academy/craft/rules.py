"""Which value decides: legal lock, product label, house rule or standard rule, with its sentence.

The standard rules and the training labels are data (``shared/rules/``). An educator's house rules
and a product label are laid over them; every value that comes out says who decided it.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any

from academy.craft.measure import Tolerance, shown, with_unit

RuleValue = Decimal | str
SHARED_RULES = Path(__file__).resolve().parents[2] / "shared" / "rules"


class RuleError(Exception):
    """A house rule or label that cannot stand; the sentence says the range."""


class Mode(StrEnum):
    """How far a label or house rule may move a value."""

    FREE = "free"
    STRICTER_SMALLER = "stricter smaller"
    STRICTER_LARGER = "stricter larger"
    LOCKED = "locked"


class DecidedBy(StrEnum):
    """Who decided a value, from strongest to weakest."""

    LOCK = "lock"
    LABEL = "label"
    HOUSE = "house"
    DEFAULT = "default"


@dataclass(frozen=True, slots=True)
class Decided:
    """One value with the rule it came from and who decided it."""

    value: RuleValue
    unit: str
    decided_by: DecidedBy
    rule_key: str
    rule_set: int
    name: str
    sentence: str

    @property
    def number(self) -> Decimal:
        """The value of a rule that is a figure; ``TypeError`` for a rule in words."""
        if isinstance(self.value, str):
            raise TypeError(f"{self.rule_key} is a rule in words.")
        return self.value

    @property
    def word(self) -> str:
        """The value of a rule in words."""
        return str(self.value)

    def to_data(self) -> dict[str, Any]:
        """Plain data for JSON; a figure is kept as text."""
        return {
            "value": _pack(self.value),
            "unit": self.unit,
            "decided_by": str(self.decided_by),
            "rule_key": self.rule_key,
            "rule_set": self.rule_set,
            "name": self.name,
            "sentence": self.sentence,
        }

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Decided:
        """The reverse of ``to_data``."""
        return cls(
            **{**data, "value": _unpack(data["value"]), "decided_by": DecidedBy(data["decided_by"])}
        )


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


@dataclass(frozen=True, slots=True)
class Label:
    """What a product's maker prints, as the academy entered it. Empty fields decide nothing."""

    name: str
    kind: str
    ratios: tuple[Decimal, ...] = ()
    strengths: tuple[Decimal, ...] = ()
    top_strength: Decimal | None = None
    minutes: Decimal | None = None
    minutes_resistant: Decimal | None = None
    ceiling: Decimal | None = None
    counts_from_start: bool = False
    heat_allowed: bool = False
    skin_test_hours: Decimal | None = None
    on_scalp: bool = True
    white_bands: Mapping[str, Decimal] = field(default_factory=dict)
    note: str = ""

    def allowed(self, label_field: str) -> tuple[Decimal, ...]:
        """The values the label gives for "permanent.minutes"; none where it is silent."""
        kind, _, name = label_field.partition(".")
        if kind not in {"*", self.kind}:
            return ()
        found = getattr(self, name)
        if found is None:
            return ()
        return found if isinstance(found, tuple) else (found,)

    def to_data(self) -> dict[str, Any]:
        """Plain data for JSON, without the fields that are empty."""
        data = {name: _pack_deep(getattr(self, name)) for name in self.__slots__}
        return {name: value for name, value in data.items() if value not in (None, "", [], {})}

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Label:
        """Read plain data; ``RuleError`` names a field that cannot be read."""
        unknown = set(data) - set(cls.__slots__)
        if unknown:
            raise RuleError(f"A label has no field called {min(unknown)}.")
        if not data.get("name") or not data.get("kind"):
            raise RuleError("A label needs the product's name and kind.")
        return cls(**{name: _label_value(name, value) for name, value in data.items()})


@dataclass(frozen=True)
class Rules:
    """The rules of one academy at one rule-set number, with at most one product label.

    ``RuleError`` where a house value lies outside its range, or a label outside a free one.
    """

    defaults: RuleBook
    house: Mapping[str, RuleValue] = field(default_factory=dict)
    label: Label | None = None
    rule_set: int = 0

    def __post_init__(self) -> None:
        for key, value in self.house.items():
            check_house_value(self.defaults.rule(key), value)
        if self.label is not None:
            self._check_label(self.label)

    def with_label(self, label: Label | None) -> Rules:
        """The same rules under another label, or under none."""
        return self if label == self.label else replace(self, label=label)

    def decide(self, key: str, **which: object) -> Decided:
        """The value that holds now. ``which`` picks the cell: ``resistance="normal", white=60``.

        Lock before label before house rule before standard rule; a rule that may only be made
        stricter takes the strictest of the three. A label that allows several values decides
        only where the value under it is not one of them.
        """
        rule = self.defaults.rule(self.defaults.full_key(key, which))
        value, by = self._value(rule)
        return Decided(
            value,
            rule.unit,
            by,
            rule.key,
            self.rule_set,
            rule.name,
            self._sentence(rule, value, by),
        )

    def number(self, key: str, **which: object) -> Decimal:
        """Short for ``decide(…).number``."""
        return self.decide(key, **which).number

    def tolerance(self, quantity: str) -> Tolerance:
        """The marking tolerance of "grams", "strength", "share" or "length"; others are exact."""
        if quantity == "grams":
            return Tolerance(
                self.number("tolerance", quantity="grams"),
                large_percent=self.number("tolerance", quantity="grams_large_percent"),
                large_above=self.number("tolerance", quantity="grams_large_above"),
            )
        if quantity == "strength":
            return Tolerance(
                self.number("tolerance", quantity="strength"),
                small=self.number("tolerance", quantity="strength_small"),
                small_below=self.number("tolerance", quantity="strength_small_below"),
            )
        if f"tolerance.{quantity}" in self.defaults.rules:
            return Tolerance(self.number("tolerance", quantity=quantity))
        return Tolerance()

    def to_json(self) -> str:
        """House rules, label and number; the standard rules are named by their edition."""
        return json.dumps(
            {
                "edition": self.defaults.edition,
                "house": {key: _pack(value) for key, value in sorted(self.house.items())},
                "label": self.label.to_data() if self.label else None,
                "rule_set": self.rule_set,
            },
            ensure_ascii=False,
            sort_keys=True,
        )

    @classmethod
    def from_json(cls, text: str, defaults: RuleBook) -> Rules:
        """The reverse of ``to_json`` over the given standard rules."""
        data = json.loads(text)
        house = {key: _unpack(value) for key, value in data["house"].items()}
        label = Label.from_data(data["label"]) if data["label"] else None
        return cls(defaults, house, label, data["rule_set"])

    def _value(self, rule: Rule) -> tuple[RuleValue, DecidedBy]:
        if rule.mode is Mode.LOCKED:
            return rule.default, DecidedBy.LOCK
        base: tuple[RuleValue, DecidedBy] = (rule.default, DecidedBy.DEFAULT)
        if rule.key in self.house:
            base = self._stronger(rule, base, (self.house[rule.key], DecidedBy.HOUSE))
        said = self._label_value(rule, base[0])
        return base if said is None else self._stronger(rule, base, (said, DecidedBy.LABEL))

    def _label_value(self, rule: Rule, base: RuleValue) -> Decimal | None:
        if self.label is None or isinstance(base, str):
            return None
        if rule.key.startswith("white_base_share."):
            return self.label.white_bands.get(rule.key.removeprefix("white_base_share."))
        allowed = self.label.allowed(rule.label_field) if rule.label_field else ()
        if not allowed or (len(allowed) > 1 and base in allowed):
            return None
        return min(allowed, key=lambda value: abs(value - base))

    @staticmethod
    def _stronger(
        rule: Rule, weaker: tuple[RuleValue, DecidedBy], stronger: tuple[RuleValue, DecidedBy]
    ) -> tuple[RuleValue, DecidedBy]:
        """The stronger voice wins; in a stricter rule only where it is at least as strict."""
        old, new = weaker[0], stronger[0]
        if isinstance(old, str) or isinstance(new, str) or rule.mode is Mode.FREE:
            return stronger
        strict = new <= old if rule.mode is Mode.STRICTER_SMALLER else new >= old
        return stronger if strict else weaker

    def _sentence(self, rule: Rule, value: RuleValue, by: DecidedBy) -> str:
        said = rule.shown(value)
        if by is DecidedBy.LABEL and self.label is not None:
            return f"{said}, from the label of {self.label.name}"
        return {
            DecidedBy.LOCK: f"{said}, fixed by law",
            DecidedBy.HOUSE: f"{said}, from your house rule {self.rule_set}",
        }.get(by, f"{said}, the standard rule")

    def _check_label(self, label: Label) -> None:
        for rule in self.defaults.rules.values():
            if rule.mode is Mode.FREE and rule.label_field:
                for value in label.allowed(rule.label_field):
                    _refuse_outside(rule, value, f"The label of {label.name}")
        for cell, share in label.white_bands.items():
            rule = self.defaults.rule(f"white_base_share.{cell}")
            _refuse_outside(rule, share, f"The label of {label.name}")


def check_house_value(rule: Rule, value: RuleValue) -> None:
    """``RuleError`` with the range where an educator may not set this value."""
    if rule.mode is Mode.LOCKED:
        raise RuleError(
            f"{rule.name}: {rule.shown(rule.default)} is fixed by law and cannot be changed."
        )
    _refuse_outside(rule, value, "Your house rule")


@cache
def standard_rules() -> RuleBook:
    """The rules shipped with the project, read once."""
    return RuleBook.from_toml((SHARED_RULES / "default.toml").read_text(encoding="utf-8"))


@cache
def training_labels() -> Mapping[str, Label]:
    """The invented training products by key, read once. None of them is a real product."""
    text = (SHARED_RULES / "training_labels.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text, parse_float=Decimal)
    return {key: Label.from_data(entry) for key, entry in data["label"].items()}


def _refuse_outside(rule: Rule, value: RuleValue, who: str) -> None:
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


def _pack(value: RuleValue) -> object:
    return {"number": str(value)} if isinstance(value, Decimal) else value


def _unpack(value: Any) -> RuleValue:
    if isinstance(value, Mapping):
        return Decimal(value["number"])
    return str(value)


def _pack_deep(value: object) -> object:
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, tuple):
        return [_pack_deep(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _pack_deep(item) for key, item in value.items()}
    return value


_LABEL_WORDS = {"name", "kind", "note"}
_LABEL_SWITCHES = {"counts_from_start", "heat_allowed", "on_scalp"}


def _label_value(name: str, value: Any) -> Any:
    if name in _LABEL_WORDS:
        return str(value)
    if name in _LABEL_SWITCHES:
        return bool(value)
    try:
        if isinstance(value, Mapping):
            return {key: Decimal(str(item)) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return tuple(Decimal(str(item)) for item in value)
        return None if value is None else Decimal(str(value))
    except InvalidOperation:
        raise RuleError(f"The label's {name.replace('_', ' ')} is not a figure: {value}.") from None
