"""The head sheet as an instrument: its switches, its controls and the same facts in tables."""

from __future__ import annotations

import re

import pytest
from django.template.loader import render_to_string

from academy.craft.head.foils import plan
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.zones import Zone
from academy.web.heads import FOLDED_FROM, HeadSheet, HeadTable, head_sheet

HALF = plan("half_head", FoilSettings())
PLANNED = head_sheet(Drawing(plan=HALF, partings=True, labels=False))


def page(sheet: HeadSheet, **more: object) -> str:
    given = {"views": sheet.views, "layers": sheet.layers, "tables": sheet.tables}
    return render_to_string("parts/head_sheet.html", {**given, "label": "A head", **more})


def test_only_the_layers_of_a_drawing_can_be_switched_and_partings_under_foils_are_off() -> None:
    assert [(layer.key, layer.on) for layer in PLANNED.layers] == [
        ("zones", True),
        ("partings", False),
        ("foils", True),
    ]
    lines = head_sheet(Drawing(plan=plan("quarters", FoilSettings(6, 0))))
    assert [(layer.key, layer.on) for layer in lines.layers] == [
        ("zones", True),
        ("partings", True),
    ]
    assert head_sheet(Drawing()).layers == ()


def test_every_view_has_a_named_switch_that_shows_it_larger() -> None:
    assert re.findall(r'data-larger aria-label="(.*?)"', page(PLANNED)) == [
        "Larger: Left side",
        "Larger: Front",
        "Larger: Right side",
        "Larger: Top, front upwards",
        "Larger: Back",
    ]


def test_the_part_works_with_views_alone() -> None:
    text = page(HeadSheet(PLANNED.views))
    assert text.count("<figure>") == 5
    assert "data-switch" not in text
    assert "<table" not in text


def test_the_sheet_carries_no_id_so_that_several_can_stand_on_a_page() -> None:
    assert not re.search(r"\sid=", page(PLANNED, scale=True))


def test_a_long_table_of_foils_is_folded_and_a_short_one_is_not() -> None:
    zones, foils = PLANNED.tables
    assert (zones.folded, foils.folded) == (False, True)
    assert len(foils.rows) == len(HALF.foils) > FOLDED_FROM
    few = plan("one_panel", FoilSettings(), zone=Zone.FRINGE)
    assert not head_sheet(Drawing(plan=few)).tables[1].folded
    assert page(PLANNED).count("<details") == 1


def test_a_row_tells_a_foils_place_length_stitches_and_neighbours() -> None:
    foils = PLANNED.tables[1]
    assert [str(column.title) for column in foils.columns] == [
        "Foil", "Section", "Zone", "Length", "Stitches", "Beside",
    ]  # fmt: skip
    first = HALF.foils[0]
    row = foils.rows[0]
    assert row.word == "1"
    assert row.cells[:4] == [
        first.section,
        first.zone.words,
        f"{first.length_mm:.0f}\N{NO-BREAK SPACE}mm",
        str(first.stitches),
    ]
    assert row.cells[4]


def test_slices_have_no_column_of_stitches() -> None:
    sliced = plan("one_panel", FoilSettings(gap_mm=0), zone=Zone.NAPE)
    titles = [str(c.title) for c in head_sheet(Drawing(plan=sliced)).tables[1].columns]
    assert "Stitches" not in titles


def test_what_has_no_room_on_the_drawing_is_said_above_the_table() -> None:
    dense = head_sheet(Drawing(plan=plan("half_head", FoilSettings(3, 0))))
    assert "Every fifth number is drawn." in page(dense)


@pytest.mark.parametrize(
    ("drawing", "titles", "nape"),
    [
        (
            Drawing(heat={Zone.NAPE: 0.36}, faults=[Fault(1, 180, -25, "Banding")]),
            ["Zone", "Share of hair", "Marks lost", "Faults"],
            ["10\N{NO-BREAK SPACE}%", "36\N{NO-BREAK SPACE}%", "1"],
        ),
        (
            Drawing(states={Zone.NAPE: "part"}, values={Zone.NAPE: "3 of 5"}),
            ["Zone", "Share of hair", "State"],
            ["10\N{NO-BREAK SPACE}%", "3 of 5, levels missing"],
        ),
    ],
)
def test_the_table_tells_what_is_drawn_on_a_zone(
    drawing: Drawing, titles: list[str], nape: list[str]
) -> None:
    (table,) = head_sheet(drawing).tables
    assert [str(column.title) for column in table.columns] == titles
    assert [row.cells for row in table.rows if row.key == "nape"] == [nape]


def test_a_page_can_bring_its_own_table() -> None:
    own = HeadTable("zone", "Own", (), ())
    assert head_sheet(Drawing(), own).tables == (own,)
