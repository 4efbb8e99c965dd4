"""A whole bowl: its figures, the limits it is held against, and what is refused or warned of."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from academy.craft.formula.bowl import USES, Bowl, Weight, WorkedBowl, work_out
from academy.craft.formula.errors import FormulaError
from academy.craft.rules import Label, Rules, standard_rules, training_labels

D = Decimal
RULES = Rules(standard_rules())


def bowl(use: str, colour: str, *developers: tuple[str, str], **more: str) -> Bowl:
    numbers = {name: D(text) if name != "ingredient" else text for name, text in more.items()}
    mixed = tuple((D(grams), D(percent)) for grams, percent in developers)
    return Bowl(use, D(colour), mixed, **numbers)  # type: ignore[arg-type]


def sentences(worked: WorkedBowl, weight: Weight) -> list[str]:
    return [finding.sentence for finding in worked.findings if finding.weight is weight]


def test_forty_grams_with_sixty_of_nine_per_cent_hold_five_point_four_on_the_head() -> None:
    """trade.md 4.3, computed: 40 g, 9 %, 1:1.5, resorcinol 3.5 % in the tube."""
    mixed = bowl("lift_3", "40", ("60", "9"), ingredient="resorcinol", in_tube="3.5")
    assert (mixed.total, mixed.d) == (D(100), D("1.5"))
    assert mixed.on_the_head == D("5.4")
    assert mixed.ingredient_on_the_head == D("1.4")
    worked = work_out(mixed, RULES)
    assert worked.refused
    assert sentences(worked, Weight.REFUSE) == [
        "Resorcinol: Refused: 1.4 % in the mixture is above the limit of 1.25 %."
    ]


def test_two_developers_count_as_their_mixture() -> None:
    """trade.md 4.2, computed: 20 g of 12 % and 100 g of 3 % are 4.5 %."""
    assert bowl("quasi", "60", ("20", "12"), ("100", "3")).bottle_strength == D("4.5")


def test_conditioner_thins_the_bowl_too() -> None:
    """trade.md 4.9, computed: 30 + 30 + 30 g with 2 % hold 0.67 %."""
    on_the_head = bowl("gloss", "30", ("30", "2"), other="30").on_the_head
    assert round(on_the_head, 2) == D("0.67")


def test_the_rules_of_a_bowl_say_who_decided() -> None:
    label = training_labels()["training-cream-b"]
    worked = work_out(bowl("full_coverage", "32", ("48", "6")), RULES.with_label(label))
    assert worked.ratio is not None
    assert worked.ratio.sentence == "1:1.5, from the label of Training cream B"
    assert worked.strength.sentence == "6 %, the standard rule"
    assert sentences(worked, Weight.WARN) == []
    assert [time.value for time in worked.times] == [35, 50, 40, 50]


def test_a_ratio_and_a_strength_off_the_rule_are_warned_of_not_refused() -> None:
    worked = work_out(bowl("full_coverage", "40", ("80", "9")), RULES)
    assert sentences(worked, Weight.WARN) == [
        "The developer has 9 %; the rule is 6 %, the standard rule.",
        "It is mixed 1:2; the rule is 1:1, the standard rule.",
    ]
    assert not worked.refused


@pytest.mark.parametrize(
    ("use", "percent", "refused"),
    [
        ("lightener_scalp", "6", False),
        ("lightener_scalp", "9", True),
        ("lightener_foils", "9", False),
        ("lightener_foils", "12", True),
    ],
)
def test_lightener_over_its_top_strength_is_refused(
    use: str, percent: str, refused: object
) -> None:
    """trade.md 6.3: refused over 6 % on the scalp and over the top strength in foils."""
    assert work_out(bowl(use, "40", ("60", percent)), RULES).refused is refused


def test_no_label_opens_a_stronger_lightener() -> None:
    label = Label("Bold powder", "lightener_foils", top_strength=D(12), strengths=(D(9),))
    worked = work_out(bowl("lightener_foils", "40", ("60", "12")), RULES.with_label(label))
    assert worked.refused


def test_a_label_that_keeps_off_the_scalp_is_obeyed() -> None:
    label = training_labels()["training-powder"]
    worked = work_out(bowl("lightener_scalp", "40", ("80", "6")), RULES.with_label(label))
    assert "The label of Training powder keeps it off the scalp." in sentences(
        worked, Weight.REFUSE
    )


def test_nothing_ever_says_safe() -> None:
    for use in USES:
        for finding in work_out(bowl(use, "40", ("40", "3")), RULES).findings:
            assert "safe" not in finding.sentence.casefold()


@pytest.mark.parametrize(
    ("colour", "developers"), [("0", [("40", "6")]), ("-5", []), ("40", [("-1", "6")])]
)
def test_an_impossible_bowl_is_refused_with_a_sentence(
    colour: str, developers: list[tuple[str, str]]
) -> None:
    with pytest.raises(FormulaError, match=r"\w+ .*\."):
        bowl("deposit", colour, *developers)


grams = st.decimals(1, 300, places=1)
percents = st.decimals(0, 12, places=1)


@given(grams, st.lists(st.tuples(grams, percents), max_size=3), st.decimals(0, 100, places=1))
def test_the_peroxide_of_the_parts_is_the_peroxide_of_the_bowl(
    colour: Decimal, developers: list[tuple[Decimal, Decimal]], other: Decimal
) -> None:
    mixed = Bowl("deposit", colour, tuple(developers), other)
    held = sum((Fraction(g) * Fraction(p) for g, p in developers), Fraction(0))
    total = (
        Fraction(colour) + Fraction(other) + sum((Fraction(g) for g, _ in developers), Fraction(0))
    )
    assert abs(Fraction(mixed.on_the_head) - held / total) < Fraction(1, 10**20)
