"""The fields of the planner, what stands in them at first, and the corners of an own pattern."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any, NamedTuple

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.head.drawn import Direction
from academy.craft.head.zones import Zone
from academy.craft.measure import shown
from academy.web.forms import UnitField

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

    from academy.craft.rules import Rules

POLYGON, BAND = "polygon", "band"
LOW, HIGH = "low", "high"
NO, YES = "no", "yes"
ROOT_COLOURS = {
    "permanent": _("permanent, no white hair"),
    "permanent_white_normal": _("permanent, on white hair"),
    "permanent_white_resistant": _("permanent, on resistant white hair"),
}

_CORNER = re.compile(r"([-+]?\d{1,3}(?:[.,]\d+)?)[\s;]+([-+]?\d{1,3}(?:[.,]\d+)?)")


_WAYS = {
    "up": _("Up"),
    "down": _("Down"),
    "left": _("Left"),
    "right": _("Right"),
    "earlier": _("Earlier"),
    "out": _("Take out"),
}


class CornerRow(NamedTuple):
    """One corner of an own pattern in the list beside the head."""

    number: int
    where: StrOrPromise

    @property
    def ways(self) -> list[tuple[str, StrOrPromise]]:
        """What can be done to it: the deed and its word."""
        return [(way, word) for way, word in _WAYS.items() if self.number > 1 or way != "earlier"]


def sized(limits: tuple[float, float], label: Any, example: str, **options: Any) -> UnitField:
    """A size in millimetres within the limits of the head's computing."""
    low, high = (Decimal(f"{limit:g}") for limit in limits)
    return UnitField(
        "mm", label=label, min_value=low, max_value=high, places=1, example=example, **options
    )


def minutes(label: Any, least: int, most: int, **options: Any) -> UnitField:
    """A length of time."""
    return UnitField(
        "min", label=label, min_value=least, max_value=most, places=1, example="12 min", **options
    )


def defaults(rules: Rules, colour: str = "") -> dict[str, str]:
    """A half head as the house rules set it: what stands in the boxes at first.

    The times of the roots are those of `colour`, one of `ROOT_COLOURS`.
    """
    first = "permanent_white_normal"
    times = f"development.{colour if colour in ROOT_COLOURS else first}"

    def of(key: str) -> str:
        return shown(rules.number(key), 1)

    return {
        "pattern": "half_head",
        "zone": Zone.CROWN.value,
        "head": "training",
        "hairline": "average",
        "depth": of("subsection.foil_depth"),
        "left": of("left_between"),
        "stitch": of("weave.medium.stitch"),
        "gap": of("weave.medium.gap"),
        "foil": "100",
        "hair": "medium",
        "shape": POLYGON,
        "band": "30",
        "direction": Direction.EAR_TO_EAR.value,
        "begin": HIGH,
        "starts": "10:00",
        "pace": "2",
        "check": of("development.lightener_foils.first_check"),
        "least": of("two_process.foil_least"),
        "ceiling": of("development.lightener_foils.ceiling"),
        "roots": NO,
        "colour": first,
        "application": "20",
        "develop": of(f"{times}.minutes"),
        "root_ceiling": of(f"{times}.ceiling"),
        "change": of("two_process.change_over"),
    }


def corner(line: str) -> tuple[float, float]:
    """A corner from its line, degrees round and up; ValidationError for anything else."""
    found = _CORNER.fullmatch(line.replace("\N{MINUS SIGN}", "-"))
    if found is None:
        raise forms.ValidationError(
            _("“%(line)s” is no place. Give two figures, degrees round and degrees up: 30 62."),
            params={"line": line[:40]},
        )
    round_, up = (float(figure.replace(",", ".")) for figure in found.groups())
    return round_, up
