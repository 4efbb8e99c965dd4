"""Choosing lightener and lift. Figures: trade.md, computed (4.8 and 4.17)."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Level,
    Question,
    Safety,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
    worked,
)
from academy.craft.exercise.families.lightener_and_lift_choice import (
    Head,
    LiftPlan,
    LightenerAndLiftChoice,
)
from academy.craft.exercise.families.lightener_and_lift_choice.plan import (
    TUB,
    invented_label,
    settled,
)
from academy.craft.formula.lift import Place
from academy.craft.rules import Label, Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = LightenerAndLiftChoice()
LABELS = training_labels()


def posed(head: Head, level: Level = Level.WORKING, rules: Rules = RULES) -> Question:
    drawn = settled(head, level, rules)
    assert drawn is not None
    question = pose(FAMILY, drawn, level, rules)
    assert question is not None
    return question


def natural(present: int, target: int, where: str, foils: int, length: str) -> Head:
    return Head(
        tinted=False, present=present, target=target, where=where, foils=foils, length=length
    )


def tinted(present: int, target: int, where: str, foils: int, length: str) -> Head:
    return replace(natural(present, target, where, foils, length), tinted=True)


def slips(question: Question, field: str) -> set[tuple[str, object]]:
    return {(m.id, m.value) for m in question.mistakes if m.field == field}


FOILED = tinted(5, 8, "foils", 20, "medium")
FULL = natural(4, 9, "full", 0, "medium")
TINTED = posed(FOILED)


def test_tinted_hair_from_five_to_eight_in_twenty_foils() -> None:
    assert TINTED.key == {
        "lift": 3,
        "product": "lightener",
        "strength": 6,
        "powder": 20,
        "developer": 30,
        "on_head": D("3.6"),
        "stage": "deep yellow",
    }
    assert "in 20 foils; hair of medium length" in TINTED.text


def test_its_slips_have_the_published_values() -> None:
    assert slips(TINTED, "lift") == {("upside-down", -3)}
    assert ("colour-lifts-colour", "permanent") in slips(TINTED, "product")
    assert slips(TINTED, "strength") == {("too-strong", 9), ("too-strong", 12)}
    assert slips(TINTED, "powder") == {("powder-as-bowl", 8)}
    assert slips(TINTED, "developer") == {("one-to-one", 20), ("double", 40)}


def test_natural_hair_in_foils_is_not_for_the_ladder_of_colour() -> None:
    question = posed(natural(5, 7, "foils", 20, "medium"))
    assert question.key["product"] == "lightener"
    assert slips(question, "product") == {
        ("colour-in-foils", "permanent"),
        ("colour-in-foils", "high_lift"),
    }


def test_natural_hair_from_four_to_nine_under_a_scalp_lightener() -> None:
    question = posed(FULL, Level.EXAM, RULES.with_label(LABELS["training-scalp-lightener"]))
    assert question.key == {
        "lift": 5,
        "product": "lightener",
        "strength": 6,
        "powder": 70,
        "developer": 140,
        "on_head": 4,
        "stage": "yellow",
        "decided_by": "label",
    }
    marked = mark(question, {"strength": "9 %"})
    assert marked.not_safe
    assert marked.of("strength").mistake == "too-strong"
    assert marked.of("strength").sentence == (
        "Not safe: that is over the limit. Slower and checked beats stronger."
    )


@pytest.mark.parametrize(
    ("head", "label", "given", "unsafe"),
    [
        (FOILED, None, "9", False),
        (FOILED, None, "12", True),
        (FOILED, invented_label(Place.FOILS, D(3)), "6", True),
        (FOILED, invented_label(Place.FOILS, D(3)), "3", False),
        (FOILED, LABELS["training-powder"], "9", False),
        (FOILED, LABELS["training-powder"], "9.5", True),
        (FULL, None, "9", True),
        (FULL, None, "20 vol", False),
        (FULL, invented_label(Place.SCALP, D(3)), "6", True),
    ],
)
def test_a_strength_above_the_strictest_limit_is_not_safe(
    head: Head, label: Label | None, given: str, unsafe: bool
) -> None:
    level = Level.WORKING if label is None else Level.EXAM
    question = posed(head, level, RULES.with_label(label))
    assert question.field("strength").safety is Safety.ABOVE
    assert mark(question, {"strength": given}).of("strength").unsafe is unsafe


def test_a_strength_of_colour_is_wrong_but_not_unsafe() -> None:
    question = posed(natural(5, 7, "regrowth", 0, "medium"))
    assert question.key == {"lift": 2, "product": "permanent", "strength": 6}
    marked = mark(question, {"strength": "12"})
    assert marked.of("strength").verdict is Verdict.WRONG
    assert not marked.not_safe


@pytest.mark.parametrize(
    ("head", "product", "strength"),
    [
        (natural(6, 5, "full", 0, "long"), "deposit", 3),
        (natural(6, 6, "foils", 9, "long"), "deposit", 3),
        (natural(6, 7, "full", 0, "long"), "permanent", 6),
        (natural(6, 9, "regrowth", 0, "long"), "permanent", 9),
        (natural(6, 10, "full", 0, "long"), "high_lift", 12),
        (natural(5, 9, "full", 0, "long"), "lightener", 6),
        (tinted(8, 9, "full", 0, "long"), "lightener", 6),
    ],
)
def test_the_first_product_that_fits(head: Head, product: str, strength: int) -> None:
    question = posed(head)
    assert question.key["product"] == product
    assert question.key["strength"] == strength
    weighs = {"powder", "developer", "on_head", "stage"} & {f.key for f in question.fields}
    assert bool(weighs) is (product == "lightener")


def test_each_level_asks_its_fields() -> None:
    asked = ["lift", "product", "strength", "powder", "developer", "on_head", "stage"]
    assert [f.key for f in posed(FOILED, Level.FIRST).fields] == asked[:2]
    assert [f.key for f in TINTED.fields] == asked
    rules = RULES.with_label(LABELS["training-powder"])
    exam = posed(FOILED, Level.EXAM, rules)
    assert [f.key for f in exam.fields] == [*asked, "decided_by"]
    assert TINTED.field("product").weight == 2


def test_the_first_level_takes_a_regrowth_for_lightener_and_the_others_weigh_a_full_head() -> None:
    regrowth = natural(3, 9, "regrowth", 0, "short")
    assert posed(regrowth, Level.FIRST).key["product"] == "lightener"
    assert settled(regrowth, Level.WORKING, RULES) is None


def test_an_upside_down_lift_carries_over_to_the_product() -> None:
    marked = mark(TINTED, {"lift": "−3", "product": "deposit colour"})
    assert marked.of("lift").mistake == "upside-down"
    assert marked.of("product").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("product").working.startswith("lift −3 depths = Deposit colour")


def test_own_powder_strength_and_developer_carry_over_into_the_bowl() -> None:
    marked = mark(TINTED, {"strength": "9", "powder": "24", "developer": "36 g", "on_head": "5.4"})
    assert marked.of("strength").mistake == "too-strong"
    assert not marked.not_safe
    assert marked.of("powder").verdict is Verdict.WRONG
    assert marked.of("developer").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("developer").working == "24 g × 1.5 = 36 g"
    assert marked.of("on_head").working == "36 g × 9 ÷ (24 g + 36 g) = 5.4 %"


def test_nothing_carries_over_to_the_developer_strength() -> None:
    # With lift 2 on natural hair at the scalp 6 % would be right: it stays the slip it is.
    question = posed(natural(6, 10, "full", 0, "long"))
    marked = mark(question, {"lift": "2", "product": "permanent", "strength": "6"})
    assert marked.of("product").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("strength").verdict is Verdict.WRONG


def test_red_orange_is_accepted_as_the_stage_of_depth_five() -> None:
    question = posed(tinted(3, 5, "foils", 10, "short"))
    assert question.key["stage"] == "orange"
    assert mark(question, {"stage": "Red orange"}).of("stage").verdict is Verdict.RIGHT
    assert mark(question, {"stage": "gold-orange"}).of("stage").verdict is Verdict.WRONG


def test_the_rule_of_thumb_stands_where_the_ladder_decided() -> None:
    line = next(
        line
        for line in posed(natural(6, 8, "regrowth", 0, "long")).solution
        if line.field == "product"
    )
    assert line.words.startswith("Product. A rule of thumb. Some educators dispute it")
    assert line.sum == "lift 2 depths: 6 % lifts up to 2 depths"


def test_the_solution_stands_beside_own_figures() -> None:
    own = {x.line.field: x.own for x in worked(TINTED, {"lift": "-3", "powder": "10"}) if x.own}
    assert set(own) == {"product", "developer", "on_head"}
    assert own["developer"].sum == "10 g × 1.5"
    assert own["on_head"].sum == "15 g × 6 ÷ (10 g + 15 g)"


@pytest.mark.parametrize(
    ("label", "house", "decided_by", "strength"),
    [
        (invented_label(Place.FOILS, D(3)), {}, "label", 3),
        (invented_label(Place.FOILS, D(9)), {}, "default", 6),
        (invented_label(Place.FOILS, None), {}, "default", 6),
        (invented_label(Place.FOILS, None), {"lightener_foils": 3}, "house", 3),
        (LABELS["training-powder"], {"lightener_foils_top": 4}, "house", 4),
        (Label("Powder", "lightener_foils", strengths=(D(3), D(6))), {}, "default", 6),
    ],
)
def test_the_answer_names_who_decided_the_strength(
    label: Label, house: dict[str, int], decided_by: str, strength: int
) -> None:
    rules = Rules(
        BOOK, {f"developer_strength.{task}": D(most) for task, most in house.items()}, label, 3
    )
    question = posed(FOILED, Level.EXAM, rules)
    assert question.key["decided_by"] == decided_by
    assert question.key["strength"] == strength
    changed = next(row.value for row in question.givens if row.label.startswith("Rules your"))
    assert (changed == "none for lightener") is (not house)


def test_a_paper_with_a_label_of_lightener_is_drawn_under_it() -> None:
    rules = RULES.with_label(LABELS["training-powder"])
    for seed in range(20):
        question = draw(FAMILY.key, Level.EXAM, seed, rules)
        assert question.parameters["where"] == "foils"
        assert "Training powder" in question.text
        assert any(row.value == "1:1.5 or 1:2" for row in question.givens)
        assert settled_anew(question, rules) == question


def test_a_label_of_another_product_leaves_the_tub_in_your_hand() -> None:
    question = draw(FAMILY.key, Level.EXAM, 4, RULES.with_label(LABELS["training-cream-a"]))
    assert question.parameters["label"] == TUB


def test_house_rules_decide_ladder_ratio_and_powder_and_the_question_says_so() -> None:
    house = {"powder_per_foil.medium": D("1.2"), "mixing_ratio.lightener_foils": D(2)}
    question = posed(FOILED, rules=Rules(BOOK, house, None, 5))
    assert question.key["powder"] == 24
    assert question.key["developer"] == 48
    assert {d.rule_key for d in question.decided if d.decided_by == "house"} == set(house)
    # Twice the powder is right here.
    assert slips(question, "developer") == {("one-to-one", 24)}
    ladder = Rules(BOOK, {"lift.6.most": D(3)}, None, 5)
    climbed = posed(natural(6, 9, "full", 0, "long"), rules=ladder)
    assert climbed.key["strength"] == 6
    assert climbed.decided[0].sentence == "3 depths, from your house rule 5"


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    products, wheres = set(), set()
    decided = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        plan = LiftPlan(**question.parameters)  # type: ignore[arg-type]
        assert 3 <= plan.present <= 8
        assert plan.present - 1 <= plan.target <= 10
        assert plan.length in {"short", "medium", "long"}
        assert (6 <= plan.foils <= 40) if plan.where == "foils" else plan.foils == 0
        assert not (plan.tinted and plan.where == "regrowth")
        if level is Level.EXAM:
            assert plan.product == "lightener"
            assert plan.lift >= 1
        products.add(plan.product)
        wheres.add(plan.where)
        decided.add(plan.strength_by)
    assert len(products) == (1 if level is Level.EXAM else 4)
    assert wheres == {"foils", "full"} | (set() if level is Level.EXAM else {"regrowth"})
    assert decided == ({"label", "default"} if level is Level.EXAM else {"default"})


# trade.md 2.2, 2.3, 2.8, 2.9 and 2.10, apart from the code.
FACTORS = {"short": Fraction(7, 10), "medium": Fraction(1), "long": Fraction(7, 5)}
FULL_HEAD = {"short": 50, "medium": 70, "long": 105}
STAGES = {
    4: "red-orange",
    5: "orange",
    6: "gold-orange",
    7: "gold",
    8: "deep yellow",
    9: "yellow",
    10: "pale yellow",
}


def product_and_strength(
    present: int, lift: int, *, tinted: bool, in_foils: bool
) -> tuple[str, int]:
    if lift <= 0:
        return "deposit", 3
    if tinted or in_foils:
        return "lightener", 6
    if lift <= 2:
        return "permanent", 6
    if lift == 3:
        return "permanent", 9
    return ("high_lift", 12) if lift == 4 and present >= 6 else ("lightener", 6)


def agrees(level: Level, seed: int) -> None:
    question = draw(FAMILY.key, level, seed, RULES)
    given = question.parameters
    present, target = int(str(given["present"])), int(str(given["target"]))
    in_foils = given["where"] == "foils"
    product, strength = product_and_strength(
        present, target - present, tinted=bool(given["tinted"]), in_foils=in_foils
    )
    if given["label_top"] is not None:
        strength = min(strength, int(str(given["label_top"])))
    assert question.key["lift"] == target - present
    assert question.key["product"] == product
    assert question.key["strength"] == strength
    asked = {field.key for field in question.fields}
    assert ("powder" in asked) is (product == "lightener" and level is not Level.FIRST)
    if "powder" not in asked:
        return
    length = str(given["length"])
    exact = FACTORS[length] * int(str(given["foils"])) if in_foils else Fraction(FULL_HEAD[length])
    powder = Fraction(int((D(exact.numerator) / exact.denominator).quantize(D(1), ROUND_HALF_UP)))
    developer = powder * (Fraction(3, 2) if in_foils else 2)
    expected = {
        "powder": powder,
        "developer": developer,
        "on_head": strength * developer / (powder + developer),
    }
    for field, figure in expected.items():
        assert Fraction(str(question.key[field])) == figure, question.identity
    assert question.key["stage"] == STAGES[target]


@pytest.mark.parametrize("level", list(Level))
def test_every_key_agrees_with_fractions(level: Level) -> None:
    for seed in range(300):
        agrees(level, seed)


@pytest.mark.deep
@pytest.mark.parametrize("level", list(Level))
def test_ten_thousand_keys_agree_with_fractions(level: Level) -> None:
    for seed in range(10_000):
        agrees(level, seed)
