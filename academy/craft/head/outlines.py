"""The five bare views as build_outlines left them in shared/head."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from academy.craft.head.zones import Zone

_FOLDER = Path(__file__).resolve().parents[3] / "shared" / "head"
OUTLINES_FILE = _FOLDER / "outlines.json"
HASH_FILE = _FOLDER / "outlines.sha256"


@dataclass(frozen=True)
class Layers:
    """The drawing of one view in the order from below: markup, zones' path data, markup, ears."""

    under: str
    zones: dict[Zone, str]
    over: str
    ears: str


@dataclass(frozen=True)
class Outline:
    """One bare view; x to the right and y down in mm on the sheet's head."""

    box: tuple[int, int, int, int]  # x, y, width, height
    large: Layers
    small: Layers
    labels: dict[Zone, tuple[float, float]]  # middle of the two lines in zones with room for them
    slots: tuple[tuple[float, float, bool], ...]  # where a fault's ring can stand; True over skin


@lru_cache(maxsize=1)
def outlines() -> dict[str, Outline]:
    """The five views by name, read once."""
    data = json.loads(OUTLINES_FILE.read_text(encoding="utf-8"))
    return {name: _outline(view) for name, view in data["views"].items()}


def _outline(view: dict[str, Any]) -> Outline:
    left, top, width, height = view["box"]
    return Outline(
        (left, top, width, height),
        _layers(view["large"]),
        _layers(view["small"]),
        {Zone(zone): (x, y) for zone, (x, y) in view["labels"].items()},
        tuple((x, y, bool(covers)) for x, y, covers in view["slots"]),
    )


def _layers(data: dict[str, Any]) -> Layers:
    zones = {Zone(zone): path for zone, path in data["zones"].items()}
    return Layers(data["under"], zones, data["over"], data["ears"])
