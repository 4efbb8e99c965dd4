"""The head against people: survey means, and arcs on a scanned head surface."""

from __future__ import annotations

import pytest

from academy.craft.head.shape import FEMALE_MEAN, FEMALE_MEAN_TAPE_MM, MALE_MEAN, Head
from academy.craft.head.zones import zones_of
from tests.published.head_rows import head_of, rows

SURVEY = {
    (r["survey"][:5], r["sex"], r["measure"]): float(r["mean"]) for r in rows("anthropometry")
}


@pytest.mark.parametrize(("head", "sex"), [(FEMALE_MEAN, "F"), (MALE_MEAN, "M")])
def test_the_mean_heads_are_the_means_of_the_survey(head: Head, sex: str) -> None:
    measured = [
        SURVEY["ANSUR", sex, name] for name in ("head length", "head breadth", "tragion-top")
    ]
    assert [head.length_mm, head.breadth_mm, head.tragion_top_mm] == measured


@pytest.mark.parametrize(("head", "sex"), [(FEMALE_MEAN, "F"), (MALE_MEAN, "M")])
def test_the_bare_model_is_a_little_less_round_the_tape_than_hair(head: Head, sex: str) -> None:
    tape = SURVEY["ANSUR", sex, "head circumference"]
    assert 0.94 < head.circumference_mm / tape < 0.98


def test_the_tape_of_the_mean_woman_is_the_surveys() -> None:
    assert SURVEY["ANSUR", "F", "head circumference"] == FEMALE_MEAN_TAPE_MM


@pytest.mark.parametrize(("sex", "height_from"), [("F", FEMALE_MEAN), ("M", MALE_MEAN)])
def test_the_arc_over_the_head_is_that_of_another_survey_within_three_per_cent(
    sex: str, height_from: Head
) -> None:
    """The second survey did not take the tragion-to-top height; it is borrowed from the first."""
    head = Head(
        SURVEY["NIOSH", sex, "head length"],
        SURVEY["NIOSH", sex, "head breadth"],
        height_from.tragion_top_mm,
    )
    measured = SURVEY["NIOSH", sex, "bitragion coronal arc"]
    assert head.coronal_arc_mm == pytest.approx(measured, rel=0.03)


def test_arcs_on_a_scanned_head_agree_within_one_and_a_half_per_cent() -> None:
    head = Head(211.54, 169.06, 140.46)
    surface = {row["arc"]: float(row["surface_mm"]) for row in rows("arc_surface")}
    assert head.circumference_mm == pytest.approx(surface["circumference"], rel=0.015)
    over = surface["preauricular-Cz-preauricular"]
    assert head.coronal_arc_mm == pytest.approx(over, rel=0.015)


@pytest.mark.parametrize("row", rows("arcs"), ids=lambda r: f"{r['head']} {r['arc']}")
def test_the_arcs_have_not_moved(row: dict[str, str]) -> None:
    head = head_of(row)
    arcs = zones_of(head).arcs_mm() | {
        "coronal": head.coronal_arc_mm,
        "circumference": head.circumference_mm,
    }
    assert arcs[row["arc"]] == pytest.approx(float(row["model_mm"]), abs=1.0)
