"""Parameters and answers as JSON holds them, exact to the last place."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from academy.craft.measure import Order, Ratio, Several, Spot, Value

Scalar = Decimal | Ratio | str | int | bool | None


def pack(value: Scalar | Value) -> object:
    """A parameter or an answer as JSON holds it; a decimal keeps its places as text."""
    if isinstance(value, Decimal):
        return {"number": str(value)}
    if isinstance(value, Ratio):
        return {"ratio": [value.first, value.second]}
    if isinstance(value, Several):
        return {"several": list(value.keys)}
    if isinstance(value, Order):
        return {"order": list(value.keys)}
    if isinstance(value, Spot):
        return {"spot": [str(n) for n in (value.azimuth, value.elevation, *value.at_mm)]}
    return value


def unpack(value: Any) -> Scalar:
    """The reverse of ``pack`` for a parameter."""
    if not isinstance(value, Mapping):
        scalar: Scalar = value
        return scalar
    if "ratio" in value:
        return Ratio(*value["ratio"])
    return Decimal(value["number"])


def unpack_value(value: Any) -> Value:
    """The reverse of ``pack`` for an answer; ``TypeError`` for what is none."""
    if isinstance(value, Mapping):
        if "several" in value:
            return Several(tuple(value["several"]))
        if "order" in value:
            return Order(tuple(value["order"]))
        if "spot" in value:
            azimuth, elevation, *at_mm = map(Decimal, value["spot"])
            return Spot(azimuth, elevation, (at_mm[0], at_mm[1], at_mm[2]))
    unpacked = unpack(value)
    if isinstance(unpacked, Decimal | Ratio | str):
        return unpacked
    raise TypeError(f"Not a value of an answer: {value!r}")
