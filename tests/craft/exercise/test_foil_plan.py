"""A panel of foils. Figures: trade.md, computed (4.10 and 4.17)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Drawn,
    ExerciseError,
    Level,
    Question,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
    worked,
)
from academy.craft.exercise.families.foil_plan import FoilPlan, Panel
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = FoilPlan()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]

LONG_PANEL = Panel(
    str(Level.WORKING),
    "chunky",
    run=D(168),
    depth=D(6),
    left=D(8),
    stitch=D(7),
    gap=D(3),
    hair="medium",
    pace=D(3),
    a_foil=D(1),
    d=D("1.5"),
)
TURNED_PANEL = Panel(
    str(Level.EXAM),
    "medium",
    run=D(155),
    depth=D(6),
    left=D(9),
    stitch=D(4),
    gap=D(4),
    share=D(20),
)


def posed(panel: Panel) -> Question:
    question = pose(FAMILY, Drawn(panel), Level(panel.level), RULES)
    assert question is not None
    return question


TWELVE_FOILS = posed(LONG_PANEL)
TURNED = posed(TURNED_PANEL)


def slips(question: Question, field: str) -> dict[str, int]:
    """The slips of one field, to whole figures."""
    return {
        m.id: round(m.value)
        for m in question.mistakes
        if m.field == field and isinstance(m.value, Decimal)
    }


def test_twelve_foils_on_168_mm() -> None:
    assert TWELVE_FOILS.key == {
        "foils": 12,
        "woven": 70,
        "panel": 30,
        "powder": 12,
        "developer": 18,
        "minutes": 36,
    }


def test_its_slips_have_the_published_values() -> None:
    assert slips(TWELVE_FOILS, "foils") == {"no-gap": 28, "gap-only": 21, "one-more": 13}
    assert slips(TWELVE_FOILS, "woven") == {"left-share": 30, "to-one": 233}
    assert slips(TWELVE_FOILS, "panel") == {"weave-forgotten": 43, "spacing-forgotten": 70}
    near = mark(TWELVE_FOILS, {"panel": "42.9"}).of("panel")
    assert near.mistake == "weave-forgotten"


def test_a_woven_share_above_the_whole_is_read_doubted_and_named() -> None:
    marked = mark(TWELVE_FOILS, {"woven": "233"}).of("woven")
    assert marked.mistake == "to-one"
    assert marked.sentence == "Compare with all, not with the rest."
    assert marked.reading.doubt == "233 % is more than the whole."
    panel = mark(TWELVE_FOILS, {"panel": "233"}).of("panel")
    assert panel.verdict is Verdict.UNREAD


def test_twenty_per_cent_of_the_panel_leaves_nine_millimetres() -> None:
    assert TURNED.key["left"] == 9
    assert TURNED.key["foils"] == 10
    assert [field.key for field in TURNED.fields] == ["left", "foils"]
    assert slips(TURNED, "left") == {"weave-forgotten": 24}
    assert slips(TURNED, "foils") == {"one-more": 11}
    assert "155 mm ÷ 15 mm = 10.33" in {line.sum for line in TURNED.solution}


def test_half_a_millimetre_either_way_is_what_a_hand_can_measure() -> None:
    assert mark(TURNED, {"left": "8.5 mm"}).of("left").verdict is Verdict.RIGHT
    assert mark(TURNED, {"left": "0,9 cm"}).of("left").verdict is Verdict.RIGHT
    assert mark(TURNED, {"left": "8.4"}).of("left").verdict is Verdict.WRONG


def test_the_count_weighs_double() -> None:
    assert {f.key: f.weight for f in TWELVE_FOILS.fields} == {
        "foils": 2,
        "woven": 1,
        "panel": 1,
        "powder": 1,
        "developer": 1,
        "minutes": 1,
    }
    assert [field.weight for field in TURNED.fields] == [1, 2]


def test_own_foils_carry_over_to_powder_and_time_and_own_powder_to_developer() -> None:
    answers = {"foils": "28", "powder": "28 g", "developer": "42", "minutes": "84"}
    marked = mark(TWELVE_FOILS, answers)
    assert marked.of("foils").mistake == "no-gap"
    assert marked.of("powder").working == "28 foils × 1 g = 28 g"
    assert marked.of("developer").working == "28 g × 1.5 = 42 g"
    assert marked.of("minutes").working == "28 foils × 3 min = 84 min"
    assert (marked.marks, marked.possible) == (3, 7)


def test_the_panel_share_carries_over_from_the_own_woven_share_but_not_from_an_impossible_one() -> (
    None
):
    marked = mark(TWELVE_FOILS, {"woven": "30", "panel": "12.9"})
    assert marked.of("woven").mistake == "left-share"
    assert marked.of("panel").verdict is Verdict.FOLLOW_THROUGH
    impossible = mark(TWELVE_FOILS, {"woven": "233", "panel": "100"})
    assert impossible.of("panel").verdict is Verdict.WRONG


def test_turned_round_the_foils_carry_over_from_the_own_spacing() -> None:
    marked = mark(TURNED, {"left": "24", "foils": "5"})
    assert marked.of("left").mistake == "weave-forgotten"
    assert marked.of("foils").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("foils").working == "155 mm ÷ 30 mm, whole ones = 5"


def test_the_first_level_asks_for_count_and_woven_share_and_carries_nothing_over() -> None:
    question = posed(replace(LONG_PANEL, level=str(Level.FIRST)))
    assert [field.key for field in question.fields] == ["foils", "woven"]
    assert {m.id for m in question.mistakes} == {
        "no-gap",
        "gap-only",
        "one-more",
        "left-share",
        "to-one",
    }
    assert mark(question, {"foils": "28", "woven": "30"}).marks == 0
    # 168 mm are twelve times 14 mm: no part foil is left to speak of.
    assert mark(question, {"foils": "13"}).of("foils").sentence == (
        "12 × 14 mm fill the panel: there is no room for one more."
    )


def test_a_slice_takes_everything_inside_its_foil() -> None:
    question = posed(replace(LONG_PANEL, weave="slice", stitch=D(6), gap=D(0)))
    assert question.key["woven"] == 100
    assert {m.id for m in question.mistakes if m.field in {"woven", "panel"}} == {
        "spacing-forgotten"
    }
    assert "all in slices" in question.text


def test_own_figures_stand_beside_the_solution() -> None:
    own = worked(TWELVE_FOILS, {"foils": "21", "woven": "70"})
    changed = {line.line.field: line.own.sum for line in own if line.own is not None}
    assert changed == {
        "powder": "21 foils × 1 g",
        "developer": "21 g × 1.5",
        "minutes": "21 foils × 3 min",
    }


def test_the_house_decides_weave_powder_and_ratio_and_says_so() -> None:
    house = {
        "weave.chunky.stitch": D(6),
        "powder_per_foil.medium": D("1.2"),
        "mixing_ratio.lightener_foils": D(2),
    }
    anew = settled_anew(TWELVE_FOILS, Rules(BOOK, house, None, 7))
    assert anew is not None
    assert anew.field("woven").printed(anew.key["woven"]) == "66.7 %"
    assert anew.key["powder"] == D("14.4")
    assert anew.key["developer"] == D("28.8")
    assert [decided.sentence for decided in anew.decided] == [
        "6 mm, from your house rule 7",
        "3 mm, the standard rule",
        "1.2 g, from your house rule 7",
        "1:2, from your house rule 7",
    ]


def test_turned_round_another_weave_leaves_another_spacing_or_nothing_to_ask() -> None:
    chunkier = Rules(BOOK, {"weave.medium.stitch": D(6)}, None, 2)
    anew = settled_anew(TURNED, chunkier)
    assert anew is not None
    assert anew.key["left"] == 12
    finer = Rules(BOOK, {"weave.medium.stitch": D(1), "weave.medium.gap": D(4)}, None, 3)
    assert settled_anew(TURNED, finer) is None


def test_a_label_does_not_change_a_panel() -> None:
    powder = training_labels()["training-powder"]
    label = replace(powder, ratios=(D(2),))
    drawn = draw(FAMILY.key, Level.WORKING, 4, RULES.with_label(label))
    assert drawn.parameters["d"] == D("1.5")


def test_house_weaves_that_never_come_to_a_round_share_are_still_asked() -> None:
    odd = {f"weave.{weave}.stitch": D("3.7") for weave in ("fine", "medium", "chunky")}
    question = draw(FAMILY.key, Level.EXAM, 1, Rules(BOOK, odd, None, 2))
    share = question.parameters["share"]
    assert isinstance(share, Decimal)
    assert share == round(share, 1)


def test_one_weave_for_all_leaves_nothing_to_tell_apart() -> None:
    same = {
        f"weave.{weave}.{part}": D(4) for weave in ("fine", "chunky") for part in ("stitch", "gap")
    }
    assert draw(FAMILY.key, Level.FIRST, 1, Rules(BOOK, same, None, 2)).key["woven"] == 50
    with pytest.raises(ExerciseError, match="shows this slip"):
        draw(FAMILY.key, Level.FIRST, 1, Rules(BOOK, same, None, 2), slip="left-share")


def by_fractions(panel: Panel) -> dict[str, Fraction]:
    """The sums of trade.md 4.10, worked without the library."""
    run, depth, left, stitch, gap = (
        Fraction(figure) for figure in (panel.run, panel.depth, panel.left, panel.stitch, panel.gap)
    )
    foils = Fraction(int(run / (depth + left)))
    woven = Fraction(100) if gap == 0 else 100 * stitch / (stitch + gap)
    share = depth / (depth + left) * woven
    powder = foils * Fraction(panel.a_foil)
    return {
        "foils": foils,
        "woven": woven,
        "panel": share,
        "powder": powder,
        "developer": powder * Fraction(panel.d),
        "minutes": foils * Fraction(panel.pace),
        "left": left,
    }


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_figure_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        panel = Panel(**question.parameters)  # type: ignore[arg-type]
        expected = by_fractions(panel)
        for name, value in question.key.items():
            assert isinstance(value, Decimal)
            assert abs(Fraction(value) - expected[name]) < Fraction(1, 10**20), question.identity
        if level is Level.EXAM:
            wanted, depth = Fraction(panel.share), Fraction(panel.depth)
            assert depth * (expected["woven"] / wanted - 1) == expected["left"]


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    weaves = set()
    for seed in range(300):
        panel = Panel(**draw(FAMILY.key, level, seed, RULES).parameters)  # type: ignore[arg-type]
        assert 60 <= panel.run <= 330
        assert panel.depth in {3, 6, 9, 12}
        assert panel.left in {3, 6, 8, 9, 12}
        over = panel.run % (panel.depth + panel.left)
        assert over < panel.depth
        assert (over == 0) is (level is Level.FIRST)
        assert panel.foils >= 2
        weaves.add((panel.weave, panel.stitch, panel.gap))
        if level is Level.WORKING:
            assert panel.pace in {2, 3, 4}
            assert panel.a_foil in {D("0.7"), 1, D("1.4")}
            assert panel.d == D("1.5")
        if level is Level.EXAM:
            assert panel.share * 10 == int(panel.share * 10)
    named = {weave for weave, _, _ in weaves}
    assert named == {"fine", "medium", "chunky"} | ({"slice"} if level is Level.WORKING else set())
