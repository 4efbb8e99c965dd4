"""A version's head sheets: five views, figures with their range, each drawn once."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from academy.craft.head.zones import Zone
from academy.curriculum.content import SheetContent, SheetKind
from academy.curriculum.drawings import SheetDrawing, draw_sheet, sheets_for, tab_titles
from academy.curriculum.queries import module_page

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion

HALF_HEAD = SheetContent(
    SheetKind.PATTERN,
    "half_head",
    depth_mm=Decimal(6),
    left_mm=Decimal(6),
    stitch_mm=Decimal(4),
    gap_mm=Decimal(4),
    foil_mm=Decimal(100),
)


def figures(sheet: SheetDrawing) -> dict[str, str]:
    return {str(row.label): f"{row.figure} {row.unit}".strip() for row in sheet.figures}


def test_a_pattern_is_drawn_in_five_views_with_numbered_foils() -> None:
    sheet = draw_sheet(HALF_HEAD)
    assert [view.title for view in sheet.views] == [
        "Left side", "Front", "Right side", "Top, front upwards", "Back",
    ]  # fmt: skip
    numbers = {
        text.text
        for view in sheet.views
        for text in ElementTree.fromstring(view.svg).iter("{http://www.w3.org/2000/svg}text")  # noqa: S314
    }
    assert numbers >= {str(n) for n in range(1, sheet.foils + 1)}


def test_foils_are_told_as_a_range_around_what_is_drawn() -> None:
    sheet = draw_sheet(HALF_HEAD)
    low, high = map(int, figures(sheet)["Foils to expect"].split(" to "))
    assert low <= sheet.foils <= high
    assert low < high


def test_the_setting_out_is_told_as_it_was_entered() -> None:
    setting = {
        str(row.label): f"{row.figure} {row.unit}".strip() for row in draw_sheet(HALF_HEAD).setting
    }
    assert setting == {
        "Section in the foil": "6 mm",
        "Left out between": "6 mm",
        "Stitch, gap": "4, 4 mm",
        "Foil width": "100 mm",
    }


def test_slices_have_no_stitches(slices: ModuleVersion) -> None:
    (sheet,) = sheets_for(slices)
    assert "Stitches" not in figures(sheet)
    assert "Head in foils" in figures(sheet)
    assert sheet.zones == (Zone.OCCIPITAL,)


def test_lines_alone_have_no_foils() -> None:
    sheet = draw_sheet(SheetContent(SheetKind.PATTERN, "quarters", depth_mm=Decimal(6)))
    assert sheet.foils == 0
    assert "Foils drawn" not in figures(sheet)
    assert figures(sheet)["Head sectioned"] == "100 %"


def test_a_zones_sheet_leaves_zones_that_are_not_judged_white() -> None:
    sheet = draw_sheet(SheetContent(SheetKind.ZONES), (Zone.NAPE,))
    back = next(view.svg for view in sheet.views if view.title == "Back")
    assert 'class="hd-zone off"' in back
    assert not sheet.has_plan


def test_a_draft_that_cannot_be_drawn_says_why() -> None:
    sheet = draw_sheet(SheetContent(SheetKind.PATTERN, "one_panel", depth_mm=Decimal(6)))
    assert sheet.problem
    assert sheet.views == ()
    assert draw_sheet(SheetContent(SheetKind.PATTERN, "zigzag")).problem


def test_the_same_sheet_is_drawn_once() -> None:
    assert draw_sheet(HALF_HEAD) is draw_sheet(HALF_HEAD)


def test_tabs_of_equal_patterns_are_told_apart() -> None:
    fine = SheetDrawing("One panel", "Fine weave.", to_confirm=False)
    plain = SheetDrawing("One panel", "", to_confirm=False)
    other = SheetDrawing("Diamond", "Teaching version.", to_confirm=False)
    assert tab_titles([fine, plain, plain, other]) == [
        "Fine weave", "One panel 2", "One panel 3", "Diamond",
    ]  # fmt: skip


def test_a_page_opens_the_sheet_that_is_asked_for(slices: ModuleVersion) -> None:
    assert module_page(slices, 1).sheet == sheets_for(slices)[0]
    assert module_page(slices, 5).chosen == 1
