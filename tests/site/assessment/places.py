"""Places on the head as the services take them."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from academy.craft.head.sheet import Place


def at_place(at: Place) -> dict[str, Any]:
    return {
        "azimuth_deg": Decimal(str(at.azimuth_deg)),
        "elevation_deg": Decimal(str(at.elevation_deg)),
    }
