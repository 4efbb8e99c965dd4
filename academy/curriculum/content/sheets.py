"""Which head sheets can be drawn: patterns, their zones and the ranges of their sizes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from academy.craft.head.drawn import DrawnSection
from academy.craft.head.foils import pattern_zones
from academy.craft.head.shape import HeadError
from academy.craft.head.zones import Zone
from academy.curriculum.content.limits import within
from academy.curriculum.content.shape import ModuleContent, Problem, SheetContent, SheetKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

# Trade page 2.9: depth 3-12, left 0-30, stitch and gap 1-15 mm (academy rule). The width of a foil
# is not given there; the head model draws 40-300 mm.
SIZES: Mapping[str, tuple[str, int, int]] = {
    "depth_mm": ("section depth", 3, 12),
    "left_mm": ("hair left between two foils", 0, 30),
    "stitch_mm": ("stitch", 1, 15),
    "gap_mm": ("gap", 1, 15),
    "foil_mm": ("foil width", 40, 300),
}

_ALL = frozenset(Zone)
_SIDES = frozenset({Zone.SIDE_LEFT, Zone.SIDE_RIGHT})
_TOP = frozenset({Zone.FRINGE, Zone.TOP, Zone.CROWN})

# Trade page 2.9: the zones of which a pattern covers at least 10 % (computed on the head model).
# `one_panel` covers the zone it names, an own pattern what is drawn.
PATTERN_ZONES: Mapping[str, frozenset[Zone]] = {
    "quarters": _ALL,
    "full_head": _ALL,
    "half_head": _TOP | _SIDES,
    "t_section": _TOP | _SIDES,
    "diamond": frozenset({Zone.TOP, Zone.CROWN}),
    "horseshoe": _TOP,
    "face_frame": frozenset({Zone.FRINGE, Zone.TOP}) | _SIDES,
    "one_panel": frozenset(),
    "custom": frozenset(),
}
CUSTOM = "custom"
LINES_ONLY = frozenset({"quarters"})


def check_sheets(content: ModuleContent) -> Iterator[Problem]:
    """Refuse a sheet that cannot be drawn, and a judged zone that no sheet covers."""
    for n, sheet in enumerate(content.sheets):
        rules = _zones_sheet if sheet.kind is SheetKind.ZONES else _pattern_sheet
        yield from rules(f"sheets.{n}", sheet)
    if content.sheet_kind is not SheetKind.PATTERN:
        return
    covered = frozenset[Zone]().union(*map(_covered, content.sheets))
    for zone in content.judged_zones:
        if zone not in covered:
            words = zone.replace("_", " ")
            yield Problem(
                "judged_zones",
                f"The zone {words} is judged, but no sheet covers it. Add a sheet, or take the "
                "zone out.",
            )


def _covered(sheet: SheetContent) -> frozenset[Zone]:
    if sheet.kind is SheetKind.ZONES:
        return _ALL
    if sheet.zone is not None:
        return frozenset({sheet.zone})
    if sheet.pattern == CUSTOM:
        return _drawn_zones(sheet.drawn)
    return PATTERN_ZONES.get(sheet.pattern, frozenset())


def drawn_section(text: str) -> DrawnSection:
    """An own pattern from its text; HeadError where there is none or it cannot be laid."""
    if not text:
        raise HeadError("An own pattern is drawn first. Draw it in the planner and save it here.")
    try:
        data = json.loads(text)
    except ValueError:
        raise HeadError("This own pattern cannot be read. Draw it again in the planner.") from None
    return DrawnSection.from_data(data)


def drawn_text(section: DrawnSection) -> str:
    """An own pattern as one line of text; `drawn_section` reads it back."""
    return json.dumps(section.to_data(), sort_keys=True, separators=(",", ":"))


def drawn_words(text: str) -> str:
    """An own pattern in words, so that two of them can be told apart; "" where there is none."""
    if not text:
        return ""
    try:
        section = drawn_section(text)
    except HeadError as error:
        return str(error)
    corners = ", ".join(f"{azimuth:g} {elevation:g}" for azimuth, elevation in section.corners)
    shape = "an area" if section.band_mm is None else f"a band of {section.band_mm:g} mm"
    end = "high" if section.from_high else "low"
    return f"{shape} through {corners}; partings {section.direction.words}, from the {end} end"


def _drawn_zones(text: str) -> frozenset[Zone]:
    try:
        return frozenset(pattern_zones(CUSTOM, drawn=drawn_section(text)))
    except HeadError:
        return frozenset()


def _zones_sheet(path: str, sheet: SheetContent) -> Iterator[Problem]:
    for name in ("pattern", "zone", "drawn", *SIZES):
        if getattr(sheet, name):
            yield Problem(f"{path}.{name}", "A sheet of zones only has no pattern and no sizes.")


def _pattern_sheet(path: str, sheet: SheetContent) -> Iterator[Problem]:
    if sheet.kind is SheetKind.NONE:
        yield Problem(f"{path}.kind", "A sheet is of zones or of a pattern. Take out an empty one.")
        return
    if sheet.pattern not in PATTERN_ZONES:
        known = ", ".join(PATTERN_ZONES)
        yield Problem(
            f"{path}.pattern", f"“{sheet.pattern}” is no pattern. It can be one of: {known}."
        )
    if (sheet.pattern == "one_panel") != (sheet.zone is not None):
        yield Problem(f"{path}.zone", "Name the zone for one panel, and only there.")
    yield from _drawn(path, sheet)
    for name, (words, low, high) in SIZES.items():
        size = getattr(sheet, name)
        if size is not None:
            yield from within(f"{path}.{name}", f"The {words} in mm", size, (low, high))
    if sheet.depth_mm is None:
        yield Problem(f"{path}.depth_mm", "A pattern needs a section depth, for example 5 mm.")
    yield from _foil_sizes(path, sheet)


def _drawn(path: str, sheet: SheetContent) -> Iterator[Problem]:
    if sheet.pattern != CUSTOM:
        if sheet.drawn:
            yield Problem(f"{path}.pattern", "What is drawn belongs to an own pattern only.")
        return
    try:
        drawn_section(sheet.drawn)
    except HeadError as error:
        yield Problem(f"{path}.pattern", str(error))


def _foil_sizes(path: str, sheet: SheetContent) -> Iterator[Problem]:
    if (sheet.stitch_mm is None) != (sheet.gap_mm is None):
        yield Problem(
            f"{path}.gap_mm", "Give stitch and gap together for a weave, or neither for slices."
        )
    foil_sizes = [
        name
        for name in ("left_mm", "stitch_mm", "gap_mm", "foil_mm")
        if getattr(sheet, name) is not None
    ]
    if sheet.pattern in LINES_ONLY:
        for name in foil_sizes:
            yield Problem(f"{path}.{name}", "This pattern is lines only. Leave foil sizes out.")
    else:
        for name in ("left_mm", "foil_mm"):
            if name not in foil_sizes:
                words = SIZES[name][0]
                yield Problem(f"{path}.{name}", f"A pattern of foils needs the {words} in mm.")
