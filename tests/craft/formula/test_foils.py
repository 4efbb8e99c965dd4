"""Foils of a panel on paper. Figures: trade.md 2.9, 4.10 and 4.17, computed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.formula.errors import FormulaError
from academy.craft.formula.foils import (
    foil_count,
    left_for,
    panel_share,
    powder_for,
    woven_share,
)

D = Decimal


def test_a_panel_of_168_mm_takes_twelve_foils() -> None:
    assert foil_count(D(168), D(6), D(8)) == 12
    assert woven_share(D(7), D(3)) == 70
    assert panel_share(D(6), D(8), D(70)) == 30
    assert powder_for(D(12), D(1)) == 12


def test_a_part_foil_at_the_end_is_none() -> None:
    assert foil_count(D(155), D(6), D(9)) == 10
    assert foil_count(D(164), D(6), D(9)) == 10
    assert foil_count(D(165), D(6), D(9)) == 11


def test_a_slice_takes_everything() -> None:
    assert woven_share(D(6), D(0)) == 100


def test_what_to_leave_for_a_wanted_share_is_the_share_turned_round() -> None:
    left = left_for(D(20), D(6), D(50))
    assert left == 9
    assert panel_share(D(6), left, D(50)) == 20
    assert left_for(D(50), D(6), D(50)) == 0


def test_more_than_the_weave_takes_cannot_be_taken_from_the_panel() -> None:
    with pytest.raises(FormulaError, match="weave a larger share"):
        left_for(D(60), D(6), D(50))


def test_foils_without_depth_and_weaves_without_stitches_are_refused() -> None:
    with pytest.raises(FormulaError):
        foil_count(D(100), D(0), D(6))
    with pytest.raises(FormulaError):
        woven_share(D(0), D(3))
