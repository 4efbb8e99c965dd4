"""The five bare views with each hairline, as build_outlines left them in shared/head."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from academy.craft.head.shape import HeadError
from academy.craft.head.zones import AVERAGE, HAIRLINES, Zone

_FOLDER = Path(__file__).resolve().parents[3] / "shared" / "head"
HASH_FILE = _FOLDER / "outlines.sha256"  # one line for each file, as sha256sum writes them

SLOT_SIGNS = ".os"  # no room for a fault's ring, room, room over drawn skin


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


def outlines_file(hairline_key: str) -> Path:
    """Where the views with one hairline are kept."""
    return _FOLDER / f"outlines_{hairline_key}.json"


def outlines(hairline_key: str = AVERAGE.key) -> dict[str, Outline]:
    """The five views by name with one of HAIRLINES, read once; HeadError for another key."""
    return _outlines(hairline_key)


@lru_cache(maxsize=len(HAIRLINES))
def _outlines(hairline_key: str) -> dict[str, Outline]:
    if hairline_key not in HAIRLINES:
        raise HeadError(
            f"There is no hairline “{hairline_key}”. Choose one of {', '.join(HAIRLINES)}."
        )
    data = json.loads(outlines_file(hairline_key).read_text(encoding="utf-8"))
    return {name: _outline(view) for name, view in data["views"].items()}


def _outline(view: dict[str, Any]) -> Outline:
    left, top, width, height = view["box"]
    return Outline(
        (left, top, width, height),
        _layers(view["large"]),
        _layers(view["small"]),
        {Zone(zone): (x, y) for zone, (x, y) in view["labels"].items()},
        _slots(view["slots"]),
    )


def _slots(grid: dict[str, Any]) -> tuple[tuple[float, float, bool], ...]:
    (left, top), step = grid["first"], grid["step"]
    return tuple(
        (left + column * step, top + row * step, sign == SLOT_SIGNS[2])
        for row, signs in enumerate(grid["rows"])
        for column, sign in enumerate(signs)
        if sign != SLOT_SIGNS[0]
    )


def _layers(data: dict[str, Any]) -> Layers:
    zones = {Zone(zone): path for zone, path in data["zones"].items()}
    return Layers(data["under"], zones, data["over"], data["ears"])
