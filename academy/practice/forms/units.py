"""One counter for each kind that a module's practice target knows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.curriculum.content import PracticeUnit, tag_words
from academy.practice.sitting import MOST_UNITS
from academy.practice.widgets import Stepper
from academy.practice.words import kind_words
from academy.web.forms import DecimalField

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.curriculum.models import TargetLine

Kind = tuple[PracticeUnit, str]


def kinds_of(lines: Iterable[TargetLine]) -> list[Kind]:
    """The kinds to count, each once, in the order of the target; heads where there is none."""
    kinds = dict.fromkeys((PracticeUnit(line.unit), line.tag) for line in lines)
    return list(kinds) or [(PracticeUnit.HEADS, "")]


def unit_fields(kinds: list[Kind]) -> dict[str, DecimalField]:
    """A field `u0`, `u1`, … for each kind; nothing entered is none done."""
    return {f"u{n}": _field(kind, kinds) for n, kind in enumerate(kinds)}


def _field(kind: Kind, kinds: list[Kind]) -> DecimalField:
    unit, tag = kind
    others = [other for other in kinds if other[0] == unit and other[1] and other != kind]
    label = kind_words(unit.value, tag)
    hint = ""
    if not tag and others:
        label = kind_words(unit.value, "any other")
    elif tag and (unit, "") in kinds:
        hint = f"Counts towards both lines: {unit.value}, and {unit.value}, {tag_words(tag)}."
    field = DecimalField(
        label=label,
        required=False,
        places=0,
        min_value=0,
        max_value=MOST_UNITS,
        example="2",
        help_text=hint,
        widget=Stepper(label.lower()),
    )
    field.error_messages["places"] = "Whole ones only, for example 2. Half a head is not a head."
    return field
