"""The head sheet as SVG: classes only, no colours; x = u and y = -v in mm on the sheet's head.

The page's style sheet brings the `hd-*` rules and one document-wide copy of `hatch_defs()`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING

from academy.craft.head.outlines import Outline, outlines
from academy.craft.head.sheet import VIEW_TITLES, VIEWS, view_of
from academy.craft.head.svg_faults import Fault, fault_layer
from academy.craft.head.svg_foils import foil_layer, numbers_seen, section_layer
from academy.craft.head.zones import AVERAGE, ZONES, Zone

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.craft.head.foils import Plan

__all__ = [
    "VIEWS",
    "VIEW_TITLES",
    "Drawing",
    "Fault",
    "hatch_defs",
    "heat_class",
    "view_svg",
    "view_svgs",
]

HEAT_FROM_PERCENT = (5, 15, 25, 35)  # h1 to h4 begin here; below the first is h0
_STATE_WORDS = {
    "done": "done",
    "part": "levels missing",
    "sel": "chosen",
    "off": "not in this module",
}
_HATCHES = (("k1", "9", "M0 0V9"), ("k2", "5.5", "M0 0V5.5"), ("k3", "3.4", "M0 0V3.4"))
_CROSSED = ("k4", "4.2", "M0 0V4.2M0 0H4.2")


@dataclass(frozen=True)
class Drawing:
    """What is laid over the bare head."""

    states: Mapping[Zone, str] = field(default_factory=dict)  # "done" | "part" | "sel" | "off"
    values: Mapping[Zone, str] = field(default_factory=dict)  # under the zone's word: "3 of 5"
    heat: Mapping[Zone, float] = field(default_factory=dict)  # share of marks lost, 0..1
    plan: Plan | None = None
    faults: Sequence[Fault] = ()
    labels: bool = True
    pressable: bool = False  # zones carry data-zone for the page's script


def view_svgs(drawing: Drawing, views: Sequence[str] = VIEWS) -> dict[str, str]:
    """One svg element for each view, by the view's name."""
    return {view: view_svg(view, drawing) for view in views}


def view_svg(view: str, drawing: Drawing, *, small: bool = False) -> str:
    """One view as a complete svg element, HeadError for a view that is not one of VIEWS.

    Every view has the same scale and box size. `small` is for tabs a few millimetres high: no
    words, numbers or fine lines, and faults as dots only.
    """
    view_of(view)
    shape = outlines(drawing.plan.hairline.key if drawing.plan else AVERAGE.key)[view]
    layers = shape.small if small else shape.large
    parts = [layers.under, _zone_layer(layers.zones, drawing), layers.over]
    if drawing.plan:
        foils, numbers = foil_layer(view, drawing.plan)
        parts += [section_layer(view, drawing.plan), foils, layers.ears, "" if small else numbers]
    else:
        parts.append(layers.ears)
    if drawing.labels and not small:
        parts.append(_label_layer(shape, drawing))
    parts.append(fault_layer(view, drawing.faults, small=small))
    heat = " heat" if drawing.heat else ""
    box = " ".join(str(side) for side in shape.box)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="hd{heat}" viewBox="{box}" role="img" '
        f'data-view="{view}" aria-label="{escape(_spoken(view, shape, drawing))}">'
        f"{''.join(parts)}</svg>"
    )


def hatch_defs() -> str:
    """The hatch patterns k1 to k4 in a defs element, once for every document with heat."""
    patterns = "".join(
        f'<pattern id="{key}" class="hd-hatch" width="{size}" height="{size}" '
        f'patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="{path}"/></pattern>'
        for key, size, path in (*_HATCHES, _CROSSED)
    )
    return f"<defs>{patterns}</defs>"


def heat_class(share: float) -> int:
    """Class 0 to 4 of a share of marks lost, by the whole per cent that is printed."""
    percent = _percent(share)
    return sum(percent >= lowest for lowest in HEAT_FROM_PERCENT)


def _percent(share: float) -> int:
    """Whole per cent, a half rounded up."""
    return int(100 * min(max(share, 0.0), 1.0) + 0.5)


def _state(zone: Zone, drawing: Drawing) -> str:
    """The CSS state of a zone, "" for none."""
    if zone in drawing.states:
        return drawing.states[zone]
    if zone in drawing.heat:
        return f"h{heat_class(drawing.heat[zone])}"
    elsewhere = drawing.plan is not None and zone not in drawing.plan.zones
    return "off" if elsewhere or drawing.heat else ""


def _value(zone: Zone, drawing: Drawing) -> str:
    if zone in drawing.values:
        return drawing.values[zone]
    return f"{_percent(drawing.heat[zone])}\N{NO-BREAK SPACE}%" if zone in drawing.heat else ""


def _classes(base: str, state: str) -> str:
    return escape(f"{base} {state}" if state else base)


def _zone_layer(paths: Mapping[Zone, str], drawing: Drawing) -> str:
    out = []
    for zone, path in paths.items():
        state = _state(zone, drawing)
        key = f' data-zone="{zone}"' if drawing.pressable else ""
        out.append(f'<path class="{_classes("hd-zone", state)}"{key} d="{path}"/>')
        if zone in drawing.heat and (level := heat_class(drawing.heat[zone])):
            out.append(f'<path class="hd-hz" fill="url(#k{level})" d="{path}"/>')
    return "".join(out)


def _label_layer(shape: Outline, drawing: Drawing) -> str:
    out = []
    for zone, (x, y) in shape.labels.items():
        state, value = _state(zone, drawing), _value(zone, drawing)
        first = y - 3 if value else y + 2.8
        css = _classes("hd-label", state)
        out.append(f'<text class="{css}" x="{x:g}" y="{first:.1f}">{escape(zone.words)}</text>')
        if value:
            css = _classes("hd-value", state)
            out.append(f'<text class="{css}" x="{x:g}" y="{y + 9:.1f}">{escape(value)}</text>')
    return "".join(out)


def _spoken(view: str, shape: Outline, drawing: Drawing) -> str:
    """What the drawing shows, in the order: view, zones, foils, faults."""
    sentences = [f"{VIEW_TITLES[view]} of the head."]
    told = [_told(zone, drawing) for zone in ZONES if zone in shape.large.zones]
    if any(told):
        sentences.append("; ".join(words for words in told if words) + ".")
    if drawing.plan:
        sentences.append(_told_plan(view, drawing.plan))
    sentences += [f"Fault {fault.number}: {fault.label}." for fault in drawing.faults]
    return " ".join(sentences)


def _told(zone: Zone, drawing: Drawing) -> str:
    """One zone's state and value in words, "" when nothing is shown on it."""
    state = drawing.states.get(zone, "")
    facts = [_STATE_WORDS.get(state, state), drawing.values.get(zone, "")]
    if zone in drawing.heat:
        facts.append(f"{_percent(drawing.heat[zone])} % of marks lost")
    facts = [fact for fact in facts if fact]
    return f"{zone.words}: {', '.join(facts)}" if facts else ""


def _told_plan(view: str, plan: Plan) -> str:
    seen = numbers_seen(view, plan)
    if not seen:
        return f"Pattern: {plan.words}."
    return f"Pattern: {plan.words}. Foils seen here, in laying order: {_ranges(seen)}."


def _ranges(numbers: Sequence[int]) -> str:
    """Rising numbers with runs drawn together: 1 to 4, 7."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
