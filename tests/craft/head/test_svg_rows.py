"""The facts beside a drawing: the same as drawn, in rows."""

from __future__ import annotations

import pytest

from academy.craft.head.foils import plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.svg_rows import foil_rows, zone_rows
from academy.craft.head.svg_words import ranges
from academy.craft.head.zones import ZONES, Zone

HALF = plan("half_head", FoilSettings())
WITH_FOILS = [key for key, p in PATTERNS.items() if p.foils and key not in ("one_panel", "custom")]


def test_a_bare_drawing_tells_every_zone_with_its_share() -> None:
    rows = zone_rows(Drawing())
    assert [row.zone for row in rows] == list(ZONES)
    assert sum(row.share for row in rows) == pytest.approx(1)


def test_a_plan_tells_the_zones_it_works_in_with_their_foils() -> None:
    rows = {row.zone: row for row in zone_rows(Drawing(plan=HALF))}
    assert set(rows) == set(HALF.zones)
    assert sorted(n for row in rows.values() for n in row.foils) == list(
        range(1, len(HALF.foils) + 1)
    )
    assert rows[Zone.CROWN].foils[0] == 1


def test_states_values_heat_and_marks_are_told_where_they_are_drawn() -> None:
    drawing = Drawing(
        states={Zone.CROWN: "part", Zone.NAPE: "sel"},
        state_words={"sel": "worked on"},
        values={Zone.CROWN: "3 of 5"},
        heat={Zone.TOP: 0.27},
        faults=[Fault(1, 180, 40, "Slip"), Fault(2, 0, 0, "On the nose")],
    )
    rows = {row.zone: row for row in zone_rows(drawing)}
    assert set(rows) == {Zone.CROWN, Zone.NAPE, Zone.TOP} | {
        zone for zone, row in rows.items() if row.marks
    }
    assert (rows[Zone.CROWN].state, rows[Zone.CROWN].value) == ("levels missing", "3 of 5")
    assert rows[Zone.NAPE].state == "worked on"
    assert rows[Zone.TOP].lost == 0.27
    assert [row.marks for row in rows.values() if row.marks] == [(1,)]  # the nose is no zone


@pytest.mark.parametrize("key", WITH_FOILS)
def test_foils_are_told_in_laying_order_and_neighbours_know_each_other(key: str) -> None:
    rows = foil_rows(plan(key, FoilSettings()))
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    by_number = {row.number: row for row in rows}
    for row in rows:
        assert row.number not in row.beside
        for other in row.beside:
            assert row.number in by_number[other].beside
            assert by_number[other].section == row.section


def test_neighbours_are_those_on_the_same_parting_and_the_nearest_on_the_next() -> None:
    beside = {row.number: row.beside for row in foil_rows(HALF)}
    pairs = {foil.parting: [] for foil in HALF.foils}  # type: dict[int, list[int]]
    for foil in HALF.foils:
        pairs[foil.parting].append(foil.number)
    left, right = next(pair for pair in pairs.values() if len(pair) == 2 and pair[0] > 4)
    assert set(beside[left]) == {left - 2, right, left + 2}
    assert set(beside[right]) == {right - 2, left, right + 2}


def test_the_lengths_and_stitches_of_the_rows_add_up_to_the_plan() -> None:
    rows = foil_rows(HALF)
    assert sum(row.length_mm for row in rows) == pytest.approx(HALF.parting_mm, rel=0.01)
    assert sum(row.stitches for row in rows) == HALF.stitches


@pytest.mark.parametrize(
    ("numbers", "words"), [([], ""), ([4], "4"), ([1, 2, 3, 7], "1 to 3, 7"), ([1, 3], "1, 3")]
)
def test_numbers_in_a_row_are_drawn_together(numbers: list[int], words: str) -> None:
    assert ranges(numbers) == words
