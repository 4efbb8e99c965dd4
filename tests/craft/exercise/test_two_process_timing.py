"""Timing two processes. Figures: trade.md, computed (4.11 and 4.17)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    ExerciseError,
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
from academy.craft.exercise.families.two_process_timing import Service, TwoProcessTiming
from academy.craft.exercise.families.two_process_timing.plan import settled
from academy.craft.measure import NONE, Value, clock, of_clock
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
CREAM_A = training_labels()["training-cream-a"]
FAMILY = TwoProcessTiming()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]


def posed(
    start: str,
    packets: tuple[int, int],
    resistance: str,
    level: Level = Level.WORKING,
    rules: Rules = RULES,
    rounds: int = 0,
) -> Question:
    drawn = settled(
        level,
        rules,
        starts_at=of_clock(start),
        application=D(20),
        resistance=resistance,
        foils=D(packets[0]),
        pace=D(packets[1]),
        rounds=rounds,
    )
    assert drawn is not None
    question = pose(FAMILY, drawn, level, rules)
    assert question is not None
    return question


UNDER_A = RULES.with_label(CREAM_A)
TEN_FOILS = posed("10:00", (10, 2), "resistant")
FOURTEEN_FOILS = posed("09:00", (14, 3), "normal", Level.EXAM, UNDER_A)


def times(values: dict[str, Value] | object) -> dict[str, str]:
    """Clock times as they are printed."""
    assert isinstance(values, dict)
    return {
        name: clock(value) if isinstance(value, Decimal) and value > 99 else str(value)
        for name, value in values.items()
    }


def slips(question: Question) -> set[tuple[str, str, str]]:
    return {(m.id, m.field, question.field(m.field).printed(m.value)) for m in question.mistakes}


def test_ten_foils_can_be_rinsed_with_the_roots() -> None:
    assert times(TEN_FOILS.key) == {
        "root_check": "11:00",
        "root_latest": "11:10",
        "spread": "18",
        "first": "10:27",
        "last": "10:45",
        "foil_check": "10:47",
        "ready": "11:05",
        "foil_ceiling": "11:17",
        "earliest": "11:05",
        "latest": "11:10",
        "possible": "yes",
        "most": "12",
    }
    ends = TEN_FOILS.solution
    assert (ends[0].result, ends[3].result) == ("10:20", "10:25")
    assert "(11:10 − 20 min − 10:25) ÷ 2 min, whole foils" in {line.sum for line in ends}
    assert ends[-1].words == "Exposure at 11:05"
    assert ends[-1].result == "first foil 38 min, last foil 20 min"


def test_its_slips_have_the_published_values() -> None:
    assert slips(TEN_FOILS) == {
        ("from-start", "root_check", "10:40"),
        ("in-a-row", "root_check", "11:25"),
        ("no-changeover", "first", "10:22"),
        ("no-changeover", "last", "10:40"),
        ("one-clock", "foil_ceiling", "11:15"),
        ("first-decides", "ready", "10:47"),
    }
    sentences = {m.id: m.sentence for m in TEN_FOILS.mistakes}
    assert sentences["no-changeover"] == "Gloves and comb take 5 min."
    assert sentences["one-clock"] == "Each foil has its own clock; the first closes 2 min later."


def test_fourteen_foils_cannot_and_only_six_would_fit() -> None:
    key = times(FOURTEEN_FOILS.key)
    assert key["root_check"] == "09:55"
    assert key["root_latest"] == "10:05"
    assert (key["first"], key["last"]) == ("09:28", "10:07")
    assert (key["ready"], key["foil_ceiling"]) == ("10:27", "10:18")
    assert (key["possible"], key["most"]) == ("no", "6")
    assert ("ceiling-forgotten", "latest", "10:27") in slips(FOURTEEN_FOILS)


def test_a_joint_rinse_past_the_ceiling_of_the_roots_is_named_and_not_safe() -> None:
    marked = mark(FOURTEEN_FOILS, {"latest": "10:27", "possible": "yes"})
    assert marked.not_safe
    assert marked.of("latest").sentence == (
        "Not safe: that is past the ceiling. At 10:27 the roots are past their ceiling of 10:05."
    )
    assert marked.of("possible").mistake == "ceiling-forgotten"
    assert not marked.of("possible").unsafe


def test_where_no_joint_rinse_is_possible_none_earns_the_marks_too() -> None:
    marked = mark(FOURTEEN_FOILS, {"earliest": "none", "latest": "-"})
    assert [marked.of(key).verdict for key in ("earliest", "latest")] == [Verdict.RIGHT] * 2
    figures = mark(FOURTEEN_FOILS, {"earliest": "10:27", "latest": "10:05"})
    assert [figures.of(key).verdict for key in ("earliest", "latest")] == [Verdict.RIGHT] * 2
    possible = posed("09:00", (6, 3), "normal", Level.EXAM, UNDER_A)
    assert mark(possible, {"earliest": "none"}).of("earliest").verdict is Verdict.WRONG


def test_the_earliest_joint_rinse_weighs_double_and_the_three_ceilings_are_safety_fields() -> None:
    assert {f.key: f.weight for f in TEN_FOILS.fields if f.weight != 1} == {"earliest": 2}
    ceilings = {f.key for f in TEN_FOILS.fields if f.safety is Safety.LATER}
    assert ceilings == {"root_latest", "foil_ceiling", "latest"}
    assert mark(TEN_FOILS, {"root_latest": "11:11"}).not_safe
    early = mark(TEN_FOILS, {"root_latest": "11:00"})
    assert early.of("root_latest").verdict is Verdict.WRONG
    assert not early.not_safe


def test_a_forgotten_change_over_carries_over_to_every_later_time_but_no_ceiling() -> None:
    answers = {
        "root_check": "11:00",
        "first": "10:22",
        "last": "10:40",
        "foil_check": "10:42",
        "ready": "11:00",
        "foil_ceiling": "11:12",
        "earliest": "11:00",
        "latest": "11:10",
        "most": "15",
    }
    marked = mark(TEN_FOILS, answers)
    assert marked.of("first").mistake == "no-changeover"
    for key in ("last", "foil_check", "ready", "earliest", "most"):
        assert marked.of(key).verdict is Verdict.FOLLOW_THROUGH, key
    assert marked.of("earliest").working == "the later of 11:00 and 11:00 = 11:00"
    assert marked.of("most").working == "(11:10 − 20 min − 10:20) ÷ 2 min = 15"
    assert marked.of("foil_ceiling").verdict is Verdict.WRONG


def test_the_earliest_carries_over_from_one_own_time() -> None:
    check = mark(TEN_FOILS, {"root_check": "11:25", "earliest": "11:25"})
    assert check.of("root_check").mistake == "in-a-row"
    assert check.of("earliest").verdict is Verdict.FOLLOW_THROUGH
    ready = mark(TEN_FOILS, {"ready": "10:47", "earliest": "11:00"})
    assert ready.of("ready").mistake == "first-decides"
    assert ready.of("earliest").verdict is Verdict.FOLLOW_THROUGH


def test_whether_it_is_possible_carries_over_from_the_own_window() -> None:
    marked = mark(TEN_FOILS, {"root_check": "11:25", "earliest": "11:25", "possible": "no"})
    assert marked.of("possible").working == "11:25 is past 11:10 = No"
    assert mark(TEN_FOILS, {"possible": "no"}).of("possible").verdict is Verdict.WRONG


def test_the_first_level_is_one_process_at_a_time() -> None:
    question = posed("10:00", (10, 2), "resistant", Level.FIRST)
    assert [field.key for field in question.fields] == ["root_check", "root_latest", "spread"]
    assert slips(question) == {
        ("from-start", "root_check", "10:40"),
        ("n-spread", "spread", "20 min"),
    }
    assert "another head" in question.text
    assert mark(question, {"root_check": "10:40", "root_latest": "10:50"}).marks == 0


def test_an_extension_moves_the_rinse_only_where_the_roots_decide() -> None:
    five = posed("10:00", (10, 2), "resistant", Level.EXAM, UNDER_A, rounds=1)
    assert five.key["root_check"] == of_clock("11:00")
    assert five.key["root_latest"] == of_clock("11:05")
    assert five.key["new_earliest"] == of_clock("11:05")
    assert five.key["new_possible"] == "yes"
    ten = posed("10:00", (6, 2), "resistant", Level.EXAM, UNDER_A, rounds=2)
    assert ten.key["earliest"] == of_clock("11:00")
    assert ten.key["new_earliest"] == of_clock("11:10")
    assert ten.key["new_possible"] == "no"
    marked = mark(ten, {"new_earliest": "none", "new_possible": "yes"})
    assert marked.of("new_earliest").verdict is Verdict.RIGHT
    assert marked.of("new_possible").mistake == "ceiling-forgotten"


def test_the_ceiling_of_the_foils_is_looked_at_again_after_an_extension() -> None:
    powder = replace(training_labels()["training-powder"], ceiling=D(30))
    rules = RULES.with_label(powder)
    question = posed("10:00", (6, 2), "normal", Level.EXAM, rules, rounds=1)
    assert question.key["foil_ceiling"] == of_clock("10:57")
    assert question.key["root_check"] == of_clock("10:55")
    assert question.key["possible"] == "yes"
    assert question.key["new_earliest"] == of_clock("11:00")
    assert question.key["new_possible"] == "no"
    assert mark(question, {"new_possible": "yes"}).of("new_possible").sentence == (
        "At 11:00 the first foil is past its ceiling of 10:57."
    )


def test_the_new_earliest_carries_over_from_own_times() -> None:
    question = posed("10:00", (10, 2), "resistant", Level.EXAM, UNDER_A, rounds=1)
    marked = mark(question, {"root_check": "11:25", "new_earliest": "11:30", "new_possible": "no"})
    assert marked.of("new_earliest").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("new_possible").working == "11:30 is past 11:05 = No"


def test_own_times_stand_beside_the_solution() -> None:
    own = worked(TEN_FOILS, {"first": "10:22"})
    changed = {line.line.field: line.own.result for line in own if line.own is not None}
    assert changed["last"] == "10:40"
    assert changed["ready"] == "11:00"
    assert changed["most"] == "15"
    assert "first" not in changed


def test_a_label_that_counts_from_the_start_moves_the_roots_and_says_so() -> None:
    label = replace(CREAM_A, counts_from_start=True)
    question = posed("10:00", (6, 2), "normal", Level.EXAM, RULES.with_label(label), rounds=1)
    assert question.key["root_check"] == of_clock("10:35")
    assert question.key["first"] == of_clock("10:27")
    assert "from-start" not in {m.id for m in question.mistakes}
    rows = {row.label: row.value for row in question.givens}
    assert rows["Time counts from the"] == "start of application"


def test_every_rule_a_question_rests_on_is_named_with_who_decided() -> None:
    question = posed("10:00", (10, 2), "resistant", Level.EXAM, UNDER_A, rounds=1)
    assert [decided.sentence for decided in question.decided] == [
        "40 min, from the label of Training cream A",
        "45 min, from the label of Training cream A",
        "5 min, the standard rule",
        "20 min, the standard rule",
        "20 min, the standard rule",
        "50 min, the standard rule",
        "5 min, the standard rule",
    ]
    first = posed("10:00", (10, 2), "resistant", Level.FIRST)
    assert len(first.decided) == 2


def test_a_paper_set_with_a_label_is_drawn_under_it_at_level_exam_only() -> None:
    scalp = training_labels()["training-scalp-lightener"]
    for label in (CREAM_A, training_labels()["training-powder"]):
        rules = RULES.with_label(label)
        assert draw(FAMILY.key, Level.EXAM, 3, rules).parameters["label"] == label.name
        assert draw(FAMILY.key, Level.WORKING, 3, rules).parameters["label"] == ""
    other = draw(FAMILY.key, Level.EXAM, 3, RULES.with_label(scalp))
    assert str(other.parameters["label"]).startswith("Training cream")


def test_marked_again_under_a_shorter_change_over_the_plan_comes_anew() -> None:
    house = Rules(BOOK, {"two_process.change_over": D(3)}, None, 9)
    anew = settled_anew(TEN_FOILS, house)
    assert anew is not None
    assert anew.key["first"] == of_clock("10:25")
    assert anew.key["root_check"] == TEN_FOILS.key["root_check"]


def test_house_rules_without_whole_minutes_are_refused_with_a_sentence() -> None:
    house = Rules(BOOK, {"two_process.change_over": D("2.5")}, None, 9)
    with pytest.raises(ExerciseError, match="nothing to ask"):
        draw(FAMILY.key, Level.WORKING, 1, house)


def test_house_rules_under_which_nothing_fits_are_refused_with_a_sentence() -> None:
    house = Rules(BOOK, {"two_process.foil_least": D(60)}, None, 9)
    with pytest.raises(ExerciseError, match="nothing to ask"):
        draw(FAMILY.key, Level.WORKING, 1, house)


def by_fractions(service: Service) -> dict[str, Fraction]:
    """The times of trade.md 4.11, worked without the library."""
    given = {
        name: Fraction(getattr(service, name))
        for name in Service.__dataclass_fields__
        if isinstance(getattr(service, name), Decimal)
    }
    count, pace = given["foils"], given["pace"]
    ends = given["starts_at"] + given["application"]
    begun = ends + given["change_over"]
    found = {
        "root_check": ends + given["root_minutes"],
        "root_latest": ends + given["root_ceiling"],
        "spread": (count - 1) * pace,
        "first": begun + pace,
        "last": begun + count * pace,
    }
    found["foil_check"] = found["first"] + given["foil_check_after"]
    found["ready"] = found["last"] + given["foil_least"]
    found["foil_ceiling"] = found["first"] + given["foil_ceiling_after"]
    found["earliest"] = max(found["root_check"], found["ready"])
    found["latest"] = min(found["root_latest"], found["foil_ceiling"])
    found["most"] = Fraction(int((found["latest"] - given["foil_least"] - begun) / pace))
    extended = found["root_check"] + service.rounds * given["extension"]
    found["new_earliest"] = max(extended, found["ready"])
    return found


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_time_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        expected = by_fractions(Service(**question.parameters))  # type: ignore[arg-type]
        for name, value in question.key.items():
            if isinstance(value, Decimal):
                assert Fraction(value) == expected[name], (question.identity, name)
        for name, earliest in (("possible", "earliest"), ("new_possible", "new_earliest")):
            if name in question.key:
                fits = expected[earliest] <= expected["latest"]
                assert question.key[name] == ("yes" if fits else "no")


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    seen = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        service = Service(**question.parameters)  # type: ignore[arg-type]
        assert service.application in {15, 20, 25}
        assert service.change_over == 5
        assert service.foils in {6, 8, 10, 12, 14}
        assert service.pace in {2, 3}
        assert service.root_minutes in {35, 40}
        assert service.root_ceiling in {45, 50}
        assert (service.foil_least, service.foil_ceiling_after) == (D(20), D(50))
        assert all(value < 24 * 60 for value in question.key.values() if isinstance(value, Decimal))
        assert service.more in ({5, 10, 15} if level is Level.EXAM else {0})
        if level is Level.WORKING:
            assert service.possible
        if level is not Level.FIRST:
            assert service.most_foils >= 1
        seen.add((service.root_minutes, service.root_ceiling))
    assert len(seen) == (4 if level is Level.EXAM else 2)


def test_three_exam_draws_in_ten_are_not_possible_and_the_extension_splits_the_others() -> None:
    drawn = [draw(FAMILY.key, Level.EXAM, seed, RULES) for seed in range(1000)]
    refused = sum(question.key["possible"] == "no" for question in drawn)
    assert 250 <= refused <= 350
    still = [q.key["new_possible"] for q in drawn if q.key["possible"] == "yes"]
    assert 0.2 < still.count("no") / len(still) < 0.5
    assert {f.key for q in drawn for f in q.fields if f.or_none} == {
        "earliest",
        "latest",
        "new_earliest",
    }
    assert NONE not in {value for q in drawn for value in q.key.values()}
