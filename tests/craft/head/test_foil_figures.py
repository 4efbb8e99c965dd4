"""What goes into each foil adds up to what goes into the plan."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.head.foil_figures import HAIRS_PER_CM2, foil_figures
from academy.craft.head.foils import plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.shape import HeadError
from academy.craft.head.zones import HAIRLINES, zones_of

FOILED = [key for key, p in PATTERNS.items() if p.foils and not (p.needs_zone or p.needs_drawn)]
POWDER, PARTS = Decimal("0.9"), Decimal("1.5")


@pytest.mark.parametrize("key", FOILED)
def test_the_shares_of_all_foils_add_up_to_the_share_laid(key: str) -> None:
    worked = plan(key, FoilSettings(), hairline=HAIRLINES["high"])
    figures = foil_figures(worked, POWDER, PARTS)
    assert sum(foil.share_of_head for foil in figures) == pytest.approx(worked.laid_share)
    scalp = zones_of(worked.head, worked.hairline).scalp_cm2
    hairs = sum(foil.hairs for foil in figures)
    assert hairs == pytest.approx(worked.laid_share * scalp * HAIRS_PER_CM2)
    assert sum(foil.stitches for foil in figures) == worked.stitches


def test_hair_in_a_slice_of_ten_square_centimetres() -> None:
    """A slice takes all of it: 100 mm of parting, 6 mm deep, hold 6 cm2 and 1338 hairs."""
    worked = plan("half_head", FoilSettings(6, 6, 4, 0))
    for foil in foil_figures(worked, POWDER, PARTS):
        assert foil.hairs == pytest.approx(foil.length_mm / 100 * 1338)


def test_powder_and_developer_follow_the_rule_and_the_ratio_exactly() -> None:
    figures = foil_figures(plan("diamond", FoilSettings()), POWDER, PARTS)
    assert {(foil.powder_g, foil.developer_g) for foil in figures} == {
        (Decimal("0.9"), Decimal("1.35"))
    }


def test_the_foil_closed_first_is_exposed_longest() -> None:
    figures = foil_figures(plan("half_head", FoilSettings()), POWDER, PARTS)
    ranks = [foil.exposure_rank for foil in figures]
    assert ranks == [foil.number for foil in figures] == list(range(1, len(figures) + 1))


def test_lines_without_foils_have_no_figures() -> None:
    assert foil_figures(plan("quarters", FoilSettings(6, 0)), POWDER, PARTS) == ()


@pytest.mark.parametrize(
    ("powder", "parts", "density", "words"),
    [
        ("0", "1.5", 223, "Powder for one foil is 0 g"),
        ("-1", "1.5", 223, "Powder for one foil is -1 g"),
        ("NaN", "1.5", 223, "Powder for one foil is NaN g"),
        ("1", "0", 223, "Developer is 0 parts"),
        ("1", "Infinity", 223, "Developer is Infinity parts"),
        ("1", "1.5", 0, "A scalp with 0 hairs"),
    ],
)
def test_weights_that_cannot_be_are_refused(
    powder: str, parts: str, density: float, words: str
) -> None:
    worked = plan("diamond", FoilSettings())
    with pytest.raises(HeadError, match=words):
        foil_figures(worked, Decimal(powder), Decimal(parts), hairs_per_cm2=density)
