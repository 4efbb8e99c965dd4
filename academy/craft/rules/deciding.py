"""Which value decides, and the sentence that says who decided it."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from enum import StrEnum
from typing import Any

from academy.craft.measure import Tolerance
from academy.craft.rules.book import (
    Mode,
    Rule,
    RuleBook,
    RuleError,
    RuleValue,
    check_house_value,
    refuse_outside,
)
from academy.craft.rules.label import Label


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


@dataclass(frozen=True)
class Rules:
    """The rules of one academy at one rule-set number, with at most one product label.

    ``RuleError`` where a house value lies outside its range, or a label outside a free one.
    Nothing in it changes, so what was decided once is kept and given again.
    """

    defaults: RuleBook
    house: Mapping[str, RuleValue] = field(default_factory=dict)
    label: Label | None = None
    rule_set: int = 0
    _decided: dict[tuple[object, ...], Decided] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _tolerances: dict[str, Tolerance] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _labelled: list[Rules] = field(default_factory=list, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        for key, value in self.house.items():
            check_house_value(self.defaults.rule(key), value)
        if self.label is not None:
            self._check_label(self.label)
        if self.house or self.label is not None:
            self._check_times()

    def with_label(self, label: Label | None) -> Rules:
        """The same rules under another label, or under none."""
        if label == self.label:
            return self
        found = next((rules for rules in self._labelled if rules.label == label), None)
        if found is None:
            found = replace(self, label=label)
            self._labelled.append(found)
        return found

    def decide(self, key: str, **which: object) -> Decided:
        """The value that holds now. ``which`` picks the cell: ``resistance="normal", white=60``.

        Lock before label before house rule before standard rule; a rule that may only be made
        stricter takes the strictest of the three. A label that allows several values decides
        only where the value under it is not one of them.
        """
        cell = (key, *which.items())
        found = self._decided.get(cell)
        if found is None:
            found = self._decided[cell] = self._decide(key, which)
        return found

    def _decide(self, key: str, which: Mapping[str, object]) -> Decided:
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
        found = self._tolerances.get(quantity)
        if found is None:
            found = self._tolerances[quantity] = self._tolerance(quantity)
        return found

    def _tolerance(self, quantity: str) -> Tolerance:
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
        said = self.label.allowed(rule.label_field) if rule.label_field else ()
        free = rule.mode is Mode.FREE
        allowed = tuple(value for value in said if rule.allows(value)) if free else said
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

    def _check_times(self) -> None:
        """Nobody may be taught to look for the first time after the latest rinse."""
        for key, rule in self.defaults.rules.items():
            ceiling = self.defaults.rules.get(key.removesuffix(".minutes") + ".ceiling")
            if not key.endswith(".minutes") or ceiling is None:
                continue
            minutes, most = self._value(rule)[0], self._value(ceiling)[0]
            if isinstance(minutes, Decimal) and isinstance(most, Decimal) and minutes > most:
                raise RuleError(
                    f"{rule.name}: {rule.shown(minutes)} lie above the ceiling of "
                    f"{ceiling.shown(most)}. Change one of them."
                )

    def _check_label(self, label: Label) -> None:
        """Each figure must lie in the range of every rule it speaks to.

        Of a list (ratios, strengths) each must lie in that of one of them: 9 % is for lifting,
        not for covering.
        """
        who = f"The label of {label.name}"
        speaks: dict[str, list[Rule]] = defaultdict(list)
        for rule in self.defaults.rules.values():
            if rule.mode is Mode.FREE and rule.label_field:
                speaks[rule.label_field].append(rule)
        for entry, rules in speaks.items():
            for value in label.allowed(entry):
                if label.is_list(entry) and any(rule.allows(value) for rule in rules):
                    continue
                for rule in rules:
                    refuse_outside(rule, value, who)
        for cell, share in label.white_bands.items():
            rule = self.defaults.rule(f"white_base_share.{cell}")
            refuse_outside(rule, share, who)


def _pack(value: RuleValue) -> object:
    return {"number": str(value)} if isinstance(value, Decimal) else value


def _unpack(value: Any) -> RuleValue:
    if isinstance(value, Mapping):
        return Decimal(value["number"])
    return str(value)
