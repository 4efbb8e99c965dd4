"""From what was asked for to a plan, its address, and two plans beside each other."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from django.utils.safestring import SafeString, mark_safe

from academy.craft.head.svg import VIEWS, Drawing
from academy.craft.head.svg_corners import corner_layer
from academy.craft.timing.errors import TimingError
from academy.curriculum.forms.planner import FIELDS, PlannerForm
from academy.curriculum.forms.planner_fields import BAND
from academy.curriculum.planner.asking import ask
from academy.curriculum.planner.plan import Planned
from academy.web.heads import HeadSheet, HeadView, head_sheet

if TYPE_CHECKING:
    from academy.curriculum.plan_figures import Figure
    from academy.curriculum.planner.corners import Corners


def sketched(form: PlannerForm, last: Planned | None) -> HeadSheet:
    """An own pattern while it is drawn: its corners, over the last plan of it that could be."""
    corners = form.cleaned_data.get("corners") or ()
    closed = form.cleaned_data.get("shape") != BAND
    head = last.head if last and last.plan.drawn else head_sheet(Drawing())
    views = tuple(
        HeadView(view.title, _with_corners(name, view.svg, corners, closed=closed))
        for name, view in zip(VIEWS, head.views, strict=True)
    )
    return replace(head, views=views)


def _with_corners(name: str, svg: str, corners: Corners, *, closed: bool) -> SafeString:
    layer = corner_layer(name, corners, closed=closed)
    return mark_safe(f"{svg.removesuffix('</svg>')}{layer}</svg>")  # noqa: S308  (our own drawing)


def planned(form: PlannerForm) -> Planned | None:
    """What a form asks for; None with the reason among its errors."""
    asked = ask(form)
    if asked is None:
        return None
    made = Planned(asked, query_of(form))
    try:
        made.clock  # noqa: B018  (its figures may not fit together)
    except TimingError as refused:
        form.add_error("pace", str(refused))
        return None
    return made


def query_of(form: PlannerForm) -> str:
    """The address of a plan: its pattern, and what differs from the standing figures."""
    pairs = [(name, str(form.data.get(name, "")).strip()) for name in FIELDS]
    return urlencode(
        [
            (name, text)
            for name, text in pairs
            if text and (text != form.standing.get(name) or name == "pattern")
        ]
    )


def differences(one: Planned, other: Planned) -> list[tuple[str, str, str]]:
    """Label, figure of one, figure of the other: of all figures that either has."""
    here, there = ({str(row.label): _with_unit(row) for row in p.figures} for p in (one, other))
    return [(label, here.get(label, "–"), there.get(label, "–")) for label in {**here, **there}]


def _with_unit(row: Figure) -> str:
    return f"{row.figure}\N{NO-BREAK SPACE}{row.unit}" if row.unit else row.figure
