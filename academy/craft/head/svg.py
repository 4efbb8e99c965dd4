"""The head sheet as SVG: classes only, no colours; x = u and y = -v in mm on the sheet's head.

The page's style sheet brings the `hd-*` rules and one document-wide copy of `hatch_defs()`.
Layers are groups `hd-layer` with a `data-layer`; zones carry `data-zone`, foils `data-foil`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING

from academy.craft.head.outlines import Outline, outlines
from academy.craft.head.sheet import VIEW_TITLES, VIEWS, view_of
from academy.craft.head.svg_faults import Fault, fault_layer
from academy.craft.head.svg_foils import foil_layer, parting_layer
from academy.craft.head.svg_lines import FLIPPED
from academy.craft.head.svg_numbers import number_layer
from academy.craft.head.svg_sections import section_layer
from academy.craft.head.svg_words import percent, spoken
from academy.craft.head.zones import AVERAGE, Zone

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.craft.head.foils import Plan
    from academy.craft.head.outlines import Layers

__all__ = [
    "LAYERS",
    "VIEWS",
    "VIEW_TITLES",
    "Drawing",
    "Fault",
    "hatch_defs",
    "heat_class",
    "layers_of",
    "view_svg",
    "view_svgs",
]

LAYERS = ("zones", "partings", "foils", "marks", "heat")
HEAT_FROM_PERCENT = (5, 15, 25, 35)  # h1 to h4 begin here; below the first is h0
_HATCHES = (("k1", "9", "M0 0V9"), ("k2", "5.5", "M0 0V5.5"), ("k3", "3.4", "M0 0V3.4"))
_CROSSED = ("k4", "4.2", "M0 0V4.2M0 0H4.2")


@dataclass(frozen=True)
class Drawing:
    """What is laid over the bare head."""

    states: Mapping[Zone, str] = field(default_factory=dict)  # "done" | "part" | "sel" | "off"
    state_words: Mapping[str, str] = field(default_factory=dict)  # where a state says more here
    values: Mapping[Zone, str] = field(default_factory=dict)  # under the zone's word: "3 of 5"
    heat: Mapping[Zone, float] = field(default_factory=dict)  # share of marks lost, 0..1
    plan: Plan | None = None
    partings: bool = False  # also under foils, hidden until a switch shows them
    faults: Sequence[Fault] = ()
    labels: bool = True


def layers_of(drawing: Drawing) -> tuple[str, ...]:
    """Which of LAYERS a drawing has."""
    laid = drawing.plan
    has = {
        "zones": True,
        "partings": bool(laid and laid.partings and (drawing.partings or not laid.foils)),
        "foils": bool(laid and laid.foils),
        "marks": bool(drawing.faults),
        "heat": bool(drawing.heat),
    }
    return tuple(layer for layer in LAYERS if has[layer])


def view_svgs(drawing: Drawing, views: Sequence[str] = VIEWS) -> dict[str, str]:
    """One svg element for each view, by the view's name."""
    return {view: view_svg(view, drawing) for view in views}


def view_svg(view: str, drawing: Drawing, *, small: bool = False) -> str:
    """One view as a complete svg element, HeadError for a view that is not one of VIEWS.

    Every view has the same scale and box size. `small` is for tabs a few millimetres high: no
    words, numbers or fine lines, and faults as dots only.
    """
    view_of(view)
    views = outlines(drawing.plan.hairline.key if drawing.plan else AVERAGE.key)
    shape = views[view]
    parts = [_head(view, views, drawing, small=small)]
    if drawing.plan and not small:
        parts.append(_layer("foils", number_layer(view, drawing.plan)))
    if drawing.labels and not small:
        parts.append(_label_layers(shape, drawing))
    parts.append(_layer("marks", fault_layer(view, drawing.faults, small=small)))
    heat = " heat" if drawing.heat else ""
    box = " ".join(str(side) for side in shape.box)
    words = spoken(view, [*shape.large.zones], drawing)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="hd{heat}" viewBox="{box}" role="img" '
        f'data-view="{view}" aria-label="{escape(words)}">{"".join(parts)}</svg>'
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
    return sum(percent(share) >= lowest for lowest in HEAT_FROM_PERCENT)


def _head(view: str, views: Mapping[str, Outline], drawing: Drawing, *, small: bool) -> str:
    """All but words, numbers and marks, from below: head, zones, partings, foils, ears."""
    flipped = view in FLIPPED
    shape = views["left" if flipped else view]
    layers = shape.small if small else shape.large
    parts = [layers.under, *_zone_layers(layers, drawing, flipped=flipped), layers.over]
    if drawing.plan:
        parts.append(section_layer(view, drawing.plan))
        if "partings" in layers_of(drawing):
            hidden = bool(drawing.plan.foils)
            parts.append(_layer("partings", parting_layer(view, drawing.plan), hidden=hidden))
        parts.append(_layer("foils", foil_layer(view, drawing.plan)))
    parts.append(layers.ears)
    inside = "".join(parts)
    return f'<g transform="scale(-1 1)">{inside}</g>' if flipped else inside


def _layer(name: str, inside: str, *, hidden: bool = False) -> str:
    if not inside:
        return ""
    off = " hd-off" if hidden else ""
    return f'<g class="hd-layer{off}" data-layer="{name}">{inside}</g>'


def _state(zone: Zone, drawing: Drawing) -> str:
    """The CSS state of a zone, "" for none."""
    if zone in drawing.states:
        return drawing.states[zone]
    if zone in drawing.heat:
        return f"h{heat_class(drawing.heat[zone])}"
    elsewhere = drawing.plan is not None and zone not in drawing.plan.zones
    return "off" if elsewhere or drawing.heat else ""


def _classes(base: str, state: str) -> str:
    return escape(f"{base} {state}" if state else base)


def _zone_layers(layers: Layers, drawing: Drawing, *, flipped: bool) -> tuple[str, str]:
    """The zones, and the hatching of those with heat."""
    zones, hatches = [], []
    for drawn, path in layers.zones.items():
        zone = drawn.mirrored if flipped else drawn
        css = _classes("hd-zone", _state(zone, drawing))
        zones.append(f'<path class="{css}" data-zone="{zone}" d="{path}"/>')
        if zone in drawing.heat and (level := heat_class(drawing.heat[zone])):
            hatches.append(f'<path class="hd-hz" fill="url(#k{level})" d="{path}"/>')
    return _layer("zones", "".join(zones)), _layer("heat", "".join(hatches))


def _label_layers(shape: Outline, drawing: Drawing) -> str:
    """Words and values, which go with the zones, and shares of marks lost, with the heat.

    Under its word a zone has room for one figure: its value, or without one the share lost.
    """
    words: list[str] = []
    figures: list[str] = []
    for zone, (x, y) in shape.labels.items():
        state = _state(zone, drawing)
        value = drawing.values.get(zone, "")
        lost = "" if value or zone not in drawing.heat else f"{percent(drawing.heat[zone])}\xa0%"
        words.append(_line("hd-label", state, x, y - 3 if value or lost else y + 2.8, zone.words))
        if value or lost:
            line = _line("hd-value", state, x, y + 9, value or lost)
            (words if value else figures).append(line)
    return _layer("zones", "".join(words)) + _layer("heat", "".join(figures))


def _line(base: str, state: str, x: float, y: float, words: str) -> str:
    return f'<text class="{_classes(base, state)}" x="{x:g}" y="{y:.1f}">{escape(words)}</text>'
