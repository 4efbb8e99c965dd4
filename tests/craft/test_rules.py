"""Lock before label before house rule before standard rule."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from academy.craft.rules import (
    Decided,
    DecidedBy,
    Label,
    Mode,
    Rule,
    RuleError,
    Rules,
    standard_rules,
    training_labels,
)

D = Decimal
BOOK = standard_rules()
CREAM_A = training_labels()["training-cream-a"]
CREAM_B = training_labels()["training-cream-b"]
RESISTANT = {"process": "permanent_white_resistant", "what": "minutes"}


def test_the_standard_rule_holds_where_nobody_says_otherwise() -> None:
    decided = Rules(BOOK).decide("development", **RESISTANT)
    assert (decided.value, decided.decided_by) == (D(40), DecidedBy.DEFAULT)
    assert decided.sentence == "40 min, the standard rule"


def test_a_house_rule_beats_the_standard_rule() -> None:
    house = {"development.permanent_white_resistant.minutes": D(42)}
    decided = Rules(BOOK, house, rule_set=12).decide("development", **RESISTANT)
    assert decided.sentence == "42 min, from your house rule 12"
    assert decided.decided_by is DecidedBy.HOUSE
    assert decided.rule_set == 12


def test_a_label_beats_a_house_rule() -> None:
    rules = Rules(BOOK, {"mixing_ratio.permanent": D("1.25")}, CREAM_B, 12)
    decided = rules.decide("mixing_ratio", kind="permanent")
    assert decided.decided_by is DecidedBy.LABEL
    assert decided.sentence == "1:1.5, from the label of Training cream B"


def test_a_label_that_is_silent_falls_through_to_the_house_rule() -> None:
    label = Label("Training paste", "permanent", minutes=D(35))
    rules = Rules(BOOK, {"mixing_ratio.permanent": D("1.5")}, label, 3)
    assert rules.decide("mixing_ratio", kind="permanent").decided_by is DecidedBy.HOUSE
    assert rules.decide("development", **RESISTANT).decided_by is DecidedBy.DEFAULT


def test_a_label_of_another_kind_decides_nothing() -> None:
    rules = Rules(BOOK, label=training_labels()["training-quasi"])
    assert rules.decide("mixing_ratio", kind="permanent").decided_by is DecidedBy.DEFAULT
    assert rules.decide("mixing_ratio", kind="quasi").decided_by is DecidedBy.LABEL


def test_a_lock_cannot_be_changed() -> None:
    assert Rules(BOOK).decide("legal_limit", ingredient="peroxide").decided_by is DecidedBy.LOCK
    with pytest.raises(RuleError, match=r"12 % is fixed by law"):
        Rules(BOOK, {"legal_limit.peroxide": D(13)})


def test_a_rule_that_may_only_be_stricter_takes_the_strictest_voice() -> None:
    label = Label("Training powder", "lightener_foils", top_strength=D(6))
    which = {"task": "lightener_foils_top"}
    strict = Rules(BOOK, {"developer_strength.lightener_foils_top": D(7)}, label)
    assert strict.decide("developer_strength", **which).value == 6
    lax = replace(strict, label=replace(label, top_strength=D(9)))
    decided = lax.decide("developer_strength", **which)
    assert (decided.value, decided.decided_by) == (D(7), DecidedBy.HOUSE)


def test_a_laxer_label_is_kept_and_not_used() -> None:
    label = Label("Training cream C", "permanent", skin_test_hours=D(24))
    decided = Rules(BOOK, label=label).decide("skin_test_hours")
    assert (decided.value, decided.decided_by) == (D(48), DecidedBy.DEFAULT)
    longer = replace(label, skin_test_hours=D(60))
    assert Rules(BOOK, label=longer).decide("skin_test_hours").value == 60


def test_a_house_rule_outside_its_range_is_refused_with_the_range() -> None:
    with pytest.raises(RuleError, match=r"gives 60 min\. Allowed: 35 to 45 min\."):
        Rules(BOOK, {"development.permanent_white_resistant.minutes": D(60)})


def test_a_label_outside_a_free_range_is_refused_with_the_range() -> None:
    with pytest.raises(RuleError, match=r"Training cream A gives 1:3\. Allowed: 1:1 to 1:1\.5\."):
        Rules(BOOK, label=replace(CREAM_A, ratios=(D(3),)))


@pytest.mark.parametrize("value", [D("NaN"), D("Infinity"), "many", D(-1)])
def test_a_house_rule_that_is_no_figure_is_refused(value: Decimal | str) -> None:
    with pytest.raises(RuleError):
        Rules(BOOK, {"tolerance.grams": value})


@pytest.mark.parametrize(
    ("value", "named"), [(40, "40 is of type int"), (40.0, "40.0 is of type float"), ("40", "'40'")]
)
def test_a_figure_of_another_type_is_refused_with_what_to_write(value: Any, named: str) -> None:
    with pytest.raises(RuleError) as caught:
        Rules(BOOK, {"development.permanent_white_resistant.minutes": value})
    sentence = str(caught.value)
    assert named in sentence
    assert 'Write it like Decimal("12.5"). Allowed: 35 to 45 min.' in sentence


def test_an_unknown_rule_is_refused_by_name() -> None:
    with pytest.raises(RuleError, match="no_such_rule"):
        Rules(BOOK, {"no_such_rule": D(1)})


def test_a_rule_in_words_takes_only_its_words() -> None:
    assert Rules(BOOK, {"white_rule": "half"}).decide("white_rule").word == "half"
    with pytest.raises(RuleError, match="one of bands, half, proportional"):
        Rules(BOOK, {"white_rule": "by feel"})


def test_a_band_begins_at_its_lower_bound() -> None:
    rules = Rules(BOOK)
    shares = [
        rules.number("white_base_share", resistance="normal", white=white)
        for white in (0, 24, 25, 39, 40, 69, 70, 100)
    ]
    assert shares == [0, 0, 25, 25, 50, 50, 75, 75]


def test_bands_on_a_label_win() -> None:
    label = replace(CREAM_A, white_bands={"normal.40": D(60)})
    rules = Rules(BOOK, {"white_base_share.normal.40": D(55)}, label)
    decided = rules.decide("white_base_share", resistance="normal", white=50)
    assert (decided.value, decided.decided_by) == (D(60), DecidedBy.LABEL)


def test_a_label_with_several_ratios_decides_only_where_the_rule_is_not_among_them() -> None:
    label = Label("Training paste", "quasi", ratios=(D(1), D("1.5")))
    assert Rules(BOOK, label=label).number("mixing_ratio", kind="quasi") == D("1.5")
    among = Rules(BOOK, {"mixing_ratio.quasi": D(1)}, label).decide("mixing_ratio", kind="quasi")
    assert (among.value, among.decided_by) == (D(1), DecidedBy.HOUSE)


def test_rules_come_back_from_json_as_they_were() -> None:
    label = replace(CREAM_B, white_bands={"normal.40": D("62.5")}, counts_from_start=True)
    rules = Rules(BOOK, {"spread": D("0.08"), "white_rule": "half"}, label, 7)
    assert Rules.from_json(rules.to_json(), BOOK) == rules


def test_a_decided_value_comes_back_from_plain_data() -> None:
    for decided in (Rules(BOOK).decide("spread"), Rules(BOOK).decide("white_rule")):
        assert Decided.from_data(decided.to_data()) == decided


def test_a_label_with_an_unknown_field_or_no_figure_is_refused() -> None:
    with pytest.raises(RuleError, match="no field called colour"):
        Label.from_data({"name": "Training paste", "kind": "quasi", "colour": "red"})
    with pytest.raises(RuleError, match="minutes is not a figure: long"):
        Label.from_data({"name": "Training paste", "kind": "quasi", "minutes": "long"})
    with pytest.raises(RuleError, match="name and kind"):
        Label.from_data({"name": "Training paste"})


@pytest.mark.parametrize("label", training_labels().values(), ids=lambda label: label.name)
def test_every_training_label_fits_the_standard_rules(label: Label) -> None:
    assert Rules(BOOK, label=label).label == Label.from_data(label.to_data())


@pytest.mark.parametrize("found", BOOK.rules.values(), ids=lambda rule: rule.key)
def test_every_standard_rule_lies_in_its_own_range_and_says_where_it_stands(found: Rule) -> None:
    assert found.mode is Mode.LOCKED or found.allows(found.default)
    assert found.standing in {"P", "C", "A"}
    assert found.source or found.standing != "P"
    assert found.name


def test_the_outcome_finds_its_numbers() -> None:
    rules = Rules(BOOK, {"judging.pass_line": D(70)})
    assert rules.number("judging", what="pass_line") == 70
    assert rules.number("judging", what="near_band") == 3
    with pytest.raises(RuleError, match="60 to 75 %"):
        Rules(BOOK, {"judging.pass_line": D(80)})


def test_a_large_weight_has_a_tolerance_in_per_cent() -> None:
    grams = Rules(BOOK).tolerance("grams")
    assert grams.at(D(60)) == 1
    assert grams.at(D(61)) == D("1.22")
    assert Rules(BOOK).tolerance("minutes").at(D(40)) == 0


def test_minutes_above_the_ceiling_are_refused_whoever_sets_them() -> None:
    with pytest.raises(RuleError, match=r"35 min lie above the ceiling of 30 min"):
        Rules(BOOK, {"development.permanent_white_normal.ceiling": D(30)})
    with pytest.raises(RuleError, match=r"40 min lie above the ceiling of 38 min"):
        Rules(BOOK, label=replace(CREAM_A, minutes=D(35), ceiling=D(38)))


def test_a_label_of_several_strengths_decides_each_task_by_those_that_fit_it() -> None:
    label = Label("Training cream C", "permanent", strengths=(D(6), D(9)))
    rules = Rules(BOOK, label=label)
    covering = rules.decide("developer_strength", task="full_coverage")
    assert (covering.value, covering.decided_by) == (D(6), DecidedBy.DEFAULT)
    assert rules.number("developer_strength", task="lift_3") == 9
    deposit = rules.decide("developer_strength", task="deposit")
    assert (deposit.value, deposit.decided_by) == (D(6), DecidedBy.LABEL)


def test_a_strength_that_fits_no_task_of_the_product_is_refused() -> None:
    label = Label("Training cream D", "permanent", strengths=(D(6), D(40)))
    with pytest.raises(RuleError, match=r"label of Training cream D gives 40 %"):
        Rules(BOOK, label=label)
