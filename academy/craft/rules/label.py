"""A product label: what the maker prints, as the academy entered it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any

from academy.craft.rules.book import RuleError


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

    @staticmethod
    def is_list(label_field: str) -> bool:
        """Whether an entry lists what is allowed, as ratios and strengths do."""
        return label_field.rpartition(".")[2] in {"ratios", "strengths"}

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
