"""The pattern sheet: every part once, for ourselves; switched on by BLOCKWORK_PARTS."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from academy.craft.head.foils import plan
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.zones import Zone
from academy.web.fields import (
    DayField,
    DecimalField,
    LevelField,
    MomentField,
    TokenField,
    UnitField,
    ZonesField,
)
from academy.web.forms import BlockworkForm
from academy.web.heads import HeadSheet, head_sheet

FAULTY = {
    "developer": "60 ml",
    "strength": "1,5,2",
    "when_0": "2026-11-25",
    "when_1": "10:30",
    "weave": "3",
    "zones": ["top", "crown"],
    "note": "Right side slipped again.",
}


class SampleForm(BlockworkForm):
    """One field of each kind."""

    deed = "can be marked"

    developer = UnitField("g", label="Developer")
    strength = DecimalField(label="Peroxide on the head", help_text="Strength after mixing, in %.")
    day = DayField(label="Day of the skin test")
    when = MomentField(label="Assessment")
    assessor = forms.ChoiceField(
        label="Assessor",
        choices=[("", "Choose one"), ("h", "Henrike Brandvold, free on Thursday from 10:30")],
    )
    zones = ZonesField(label="Zones worked on", required=False)
    weave = LevelField(label="Weave", help_text="3 = stitches even, none over 5 mm")
    note = forms.CharField(label="What went well", widget=forms.Textarea(attrs={"rows": 3}))
    model = forms.BooleanField(label="Done on a person", required=False)
    key = TokenField()


def _heads() -> list[HeadSheet]:
    """A head of each kind, with its switches and tables."""
    scoring = Drawing(
        states={Zone.TOP: "done", Zone.CROWN: "part", Zone.SIDE_LEFT: "sel", Zone.NAPE: "off"},
        values={Zone.TOP: "5 of 5", Zone.CROWN: "3 of 5", Zone.SIDE_LEFT: "2 of 5"},
        faults=[Fault(1, 60.0, 30.0, "Foil 12 slipped 4 mm")],
    )
    heat = Drawing(heat={Zone.CROWN: 0.16, Zone.OCCIPITAL: 0.41, Zone.NAPE: 0.09})
    laid = Drawing(plan=plan("half_head", FoilSettings()), partings=True, labels=False)
    return [head_sheet(drawing) for drawing in (scoring, heat, laid)]


def _samples() -> dict[str, Any]:
    page = Paginator(range(95), 40).page(2)
    page.others = ""  # type: ignore[attr-defined]
    return {
        "form": SampleForm(FAULTY),
        "fresh": SampleForm(auto_id="fresh_%s"),
        "page": page,
        "cells": [
            ("Printed", "rules, labels, headings", ""),
            ("Written", "values, choices, buttons", "written"),
            ("Marked", "wrong, fault, expired", "marked"),
            ("Version", "3, published 2 Sep 2026", ""),
        ],
        "heads": _heads(),
        "figures": [
            ("Natural colour", "depth 6, natural", "", ""),
            ("White hair", Decimal(50), "%", ""),
            ("Colour cream to mix", Decimal("60.0"), "g", ""),
            ("Everything in the bowl", Decimal(150), "g", "sum"),
        ],
        "events": [
            ("09:33", "Check at 15 min.", "Much white at the hairline. Next at 22.", True),
            ("09:18", "Last strand on.", "Nape, right.", False),
            ("08:47", "First strand on.", "Front hairline, left.", False),
        ],
        "givens": [
            ("cream", "60 g"),
            ("mix", "1 : 1.5"),
            ("white", "50 %"),
            ("shelf", "3, 6, 9 %"),
        ],
        "cautions": [
            "Never go past the longest time on the label; rinse and plan another way.",
            "Stretching without return, breaking or swelling means stop, rinse cool, report.",
        ],
    }


@login_not_required
def show(request: HttpRequest) -> HttpResponse:
    """`/parts/`, and `/parts/?dark` in the dark inks."""
    if not (settings.DEBUG or settings.BLOCKWORK_PARTS):
        raise Http404
    theme = "dark" if "dark" in request.GET else "light"
    return render(request, "parts/all.html", {**_samples(), "theme": theme})
