"""The head sheets of a version, drawn and with their figures; each drawing is kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

from academy.craft.head.foils import Plan, foil_range, plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.shape import HeadError
from academy.craft.head.svg import Drawing
from academy.craft.head.zones import ZONES, Zone
from academy.curriculum.content import ModuleContent, SheetContent, SheetKind
from academy.curriculum.content.sheets import CUSTOM, drawn_section
from academy.curriculum.plan_figures import Figure, plan_figures
from academy.curriculum.rows import sheet_of
from academy.web.heads import HeadSheet, HeadView, head_sheet
from academy.web.numbers import write_figure

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.curriculum.models import ModuleVersion

LINES_ONLY_LEFT_MM = 0.0  # lines lie one section depth apart


@dataclass(frozen=True)
class SheetDrawing:
    """One head sheet: five views, the figures of its plan, and how it is set out.

    `problem` says why nothing is drawn; it is empty for every published version.
    """

    title: str
    note: str
    to_confirm: bool
    zones: tuple[Zone, ...] = ()
    head: HeadSheet = field(default_factory=HeadSheet)
    figures: tuple[Figure, ...] = ()
    setting: tuple[Figure, ...] = ()
    foils: int = 0
    problem: str = ""

    @property
    def views(self) -> tuple[HeadView, ...]:
        return self.head.views

    @property
    def has_plan(self) -> bool:
        return bool(self.setting)


def sheets_for(version: ModuleVersion) -> list[SheetDrawing]:
    """The drawn sheets of a version; one query unless its sheets were fetched with it."""
    judged = tuple(Zone(zone) for zone in version.judged_zones)
    return draw_sheets((sheet_of(row) for row in version.sheets.all()), judged)


def sheets_of(content: ModuleContent) -> list[SheetDrawing]:
    """The drawn sheets of a content."""
    return draw_sheets(content.sheets, content.judged_zones)


def draw_sheets(sheets: Iterable[SheetContent], judged: tuple[Zone, ...]) -> list[SheetDrawing]:
    """Draw the sheets; drawings are kept by what is on them, so asking again costs nothing."""
    return [draw_sheet(sheet, judged) for sheet in sheets]


@lru_cache(maxsize=256)
def draw_sheet(sheet: SheetContent, judged: tuple[Zone, ...] = ()) -> SheetDrawing:
    """One sheet. What cannot be drawn, because a draft is not finished, says so instead."""
    if sheet.kind is SheetKind.ZONES:
        return _zones_sheet(sheet, judged)
    try:
        settings = _settings(sheet)
        drawn = drawn_section(sheet.drawn) if sheet.pattern == CUSTOM else None
        laid = plan(sheet.pattern, settings, zone=sheet.zone, drawn=drawn)
        expected = foil_range(sheet.pattern, settings, zone=sheet.zone, drawn=drawn)
    except HeadError as error:
        return SheetDrawing(title_of(sheet), sheet.note, sheet.to_confirm, problem=str(error))
    return SheetDrawing(
        title=title_of(sheet),
        note=sheet.note,
        to_confirm=sheet.to_confirm,
        zones=laid.zones,
        head=head_sheet(Drawing(plan=laid, partings=True, labels=False)),
        figures=plan_figures(laid, expected),
        setting=_setting(laid),
        foils=len(laid.foils),
    )


def title_of(sheet: SheetContent) -> str:
    """What the sheet shows, in words: "One panel, occipital"."""
    if sheet.kind is SheetKind.ZONES:
        return "Zones"
    pattern = PATTERNS.get(sheet.pattern)
    words = pattern.words if pattern else sheet.pattern.replace("_", " ") or "pattern"
    title = f"{words}, {sheet.zone.words}" if sheet.zone else words
    return title[:1].upper() + title[1:]


def tab_titles(sheets: list[SheetDrawing]) -> list[str]:
    """A different word for each sheet: its title, with the note or a number where titles repeat."""
    titles = [sheet.title for sheet in sheets]
    words = [
        sheet.note.rstrip(".") or sheet.title if titles.count(sheet.title) > 1 else sheet.title
        for sheet in sheets
    ]
    return [f"{word} {n}" if words.count(word) > 1 else word for n, word in enumerate(words, 1)]


def _zones_sheet(sheet: SheetContent, judged: tuple[Zone, ...]) -> SheetDrawing:
    states = {zone: "" if zone in judged else "off" for zone in ZONES} if judged else {}
    words = {"": "judged", "off": "not judged"}
    drawing = Drawing(states=states, state_words=words if judged else {})
    return SheetDrawing(
        title=title_of(sheet),
        note=sheet.note,
        to_confirm=sheet.to_confirm,
        zones=judged or ZONES,
        head=head_sheet(drawing, state=_("In this module")),
    )


def _settings(sheet: SheetContent) -> FoilSettings:
    given = {"depth_mm": sheet.depth_mm, "left_mm": sheet.left_mm, "foil_mm": sheet.foil_mm}
    sizes = {name: float(value) for name, value in given.items() if value is not None}
    pattern = PATTERNS.get(sheet.pattern)
    if pattern is not None and not pattern.foils:
        sizes["left_mm"] = LINES_ONLY_LEFT_MM
    if sheet.stitch_mm is None or sheet.gap_mm is None:
        return FoilSettings(**sizes, gap_mm=0.0)
    return FoilSettings(**sizes, stitch_mm=float(sheet.stitch_mm), gap_mm=float(sheet.gap_mm))


def _setting(laid: Plan) -> tuple[Figure, ...]:
    settings = laid.settings
    if not laid.foils:
        return (Figure(_("Subsection"), write_figure(settings.depth_mm), "mm"),)
    stitch, gap = write_figure(settings.stitch_mm), write_figure(settings.gap_mm)
    return (
        Figure(_("Section in the foil"), write_figure(settings.depth_mm), "mm"),
        Figure(_("Left out between"), write_figure(settings.left_mm), "mm"),
        Figure(_("Stitch, gap"), f"{stitch}, {gap}", "mm")
        if settings.gap_mm
        else Figure(_("Taken up"), "whole slices"),
        Figure(_("Foil width"), write_figure(settings.foil_mm), "mm"),
    )
