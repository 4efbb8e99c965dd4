"""From the planner's form to a plan on a head and the figures of its clock."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeVar

from django.utils.translation import gettext as _

from academy.craft.head.drawn import Direction, DrawnSection
from academy.craft.head.foils import plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.shape import HEADS, Head, HeadError
from academy.craft.head.zones import HAIRLINES, Zone
from academy.craft.measure import shown
from academy.craft.timing.errors import TimingError
from academy.craft.timing.head_clock import ClockSettings, RootColour
from academy.curriculum.forms.planner import CUSTOM, LENGTHS, ONE_PANEL, TAPE, PlannerForm
from academy.curriculum.forms.planner_fields import BAND, HIGH, YES
from academy.curriculum.house import label_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from academy.craft.head.foils import Plan
    from academy.craft.rules import Rules

MINUTES_IN_AN_HOUR = 60
_FOIL_CEILING = "development.lightener_foils.ceiling"

T = TypeVar("T")


@dataclass(frozen=True)
class Asked:
    """A whole plan as it was asked for, and the rules that hold for it."""

    plan: Plan
    rules: Rules
    clock: ClockSettings
    hair: str


def ask(form: PlannerForm) -> Asked | None:
    """The plan, worked out; None with the reason among the form's errors where it cannot be."""
    if not form.is_valid():
        return None
    data = form.cleaned_data
    rules = form.house.with_label(label_of(data["label"])) if data["label"] else form.house
    head = _made(form, "tape" if data["head"] == TAPE else "length", lambda: _head(data))
    settings = _made(form, "gap", lambda: _settings(data))
    drawn = _made(form, "corners", lambda: _drawn(data))
    clock = _clock(form, rules)
    if form.errors or head is None or settings is None or clock is None:
        return None
    laid = _made(
        form,
        "corners" if data["pattern"] == CUSTOM else "pattern",
        lambda: plan(
            data["pattern"],
            settings,
            zone=Zone(data["zone"]) if data["pattern"] == ONE_PANEL and data["zone"] else None,
            head=head,
            hairline=HAIRLINES[data["hairline"]],
            drawn=drawn,
        ),
    )
    return None if laid is None else Asked(laid, rules, clock, data["hair"])


def _made(form: PlannerForm, field: str, make: Callable[[], T]) -> T | None:
    """What `make` makes; None with its sentence beside the field where the head refuses it."""
    try:
        return make()
    except HeadError as refused:
        form.add_error(field, str(refused))
        return None


def _head(data: Mapping[str, Any]) -> Head:
    if data["head"] == TAPE:
        return Head.of_tape(float(data["tape"]))
    if data["head"] == LENGTHS:
        return Head.of_lengths(float(data["length"]), float(data["breadth"]))
    return HEADS[data["head"]]


def _settings(data: Mapping[str, Any]) -> FoilSettings:
    lines_only = not PATTERNS[data["pattern"]].foils
    return FoilSettings(
        depth_mm=float(data["depth"]),
        left_mm=0.0 if lines_only else float(data["left"]),
        stitch_mm=float(data["stitch"]),
        gap_mm=float(data["gap"]),
        foil_mm=float(data["foil"]),
    )


def _drawn(data: Mapping[str, Any]) -> DrawnSection | None:
    if data["pattern"] != CUSTOM:
        return None
    return DrawnSection(
        corners=data["corners"],
        band_mm=float(data["band"]) if data["shape"] == BAND else None,
        direction=Direction(data["direction"]),
        from_high=data["begin"] == HIGH,
    )


def _clock(form: PlannerForm, rules: Rules) -> ClockSettings | None:
    """The clock's figures, no ceiling above what holds in the academy or on the label."""
    data = form.cleaned_data
    with_roots = data["roots"] == YES
    _below_ceiling(form, rules, "ceiling", _FOIL_CEILING)
    if with_roots:
        _below_ceiling(form, rules, "root_ceiling", f"development.{data['colour']}.ceiling")
    if form.errors:
        return None
    starts, label = data["starts"], rules.label
    roots = RootColour(
        application=data["application"],
        minutes=data["develop"],
        ceiling=data["root_ceiling"],
        from_start=label is not None and label.counts_from_start and label.kind == "permanent",
    )
    try:
        return ClockSettings(
            starts_at=Decimal(starts.hour * MINUTES_IN_AN_HOUR + starts.minute),
            pace=data["pace"],
            foil_check_after=data["check"],
            foil_least=data["least"],
            foil_ceiling_after=data["ceiling"],
            change_over=data["change"] if with_roots else Decimal(0),
            roots=roots if with_roots else None,
        )
    except TimingError as refused:
        form.add_error(_untimed(data), str(refused))
        return None


def _below_ceiling(form: PlannerForm, rules: Rules, name: str, key: str) -> None:
    most, given = rules.decide(key), form.cleaned_data[name]
    if given > most.number:
        words = _("%(minutes)s min is above the ceiling: %(rule)s.")
        form.add_error(name, words % {"minutes": shown(given, 1), "rule": most.sentence})


def _untimed(data: Mapping[str, Any]) -> str:
    """The field whose figure no clock can hold."""
    for name, most in (("least", "ceiling"), ("check", "ceiling"), ("develop", "root_ceiling")):
        if data[name] > data[most]:
            return name
    return "pace"
