"""The gate as an exercise. Figures: trade.md, computed (4.13 and 4.17)."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Drawn,
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
from academy.craft.exercise.families.legal_and_safety_gate import Card, LegalAndSafetyGate
from academy.craft.measure import NONE, WEEKDAYS, Several, of_day_time
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = LegalAndSafetyGate()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]

PERSON = Card(
    level="first",
    age=17,
    tested=int(of_day_time("Tuesday 14:00")),
    service=int(of_day_time("Thursday 13:00")),
    days=None,
    reading="clear",
    same_product=True,
    asked="no to all",
    last_colour=6,
    hours_least=D(48),
    hours_rule="48 h, the standard rule",
    hours_by="default",
    days_most=D(84),
    days_rule="84 days, the standard rule",
    days_by="default",
    age_least=D(16),
    age_rule="16 years, the standard rule",
    age_by="default",
    peroxide_limit=D(12),
)
MIXED = replace(
    PERSON,
    level="working",
    percent=D(12),
    d=D("1.5"),
    ingredient="resorcinol",
    tube=D("2.5"),
    limit=D("1.25"),
)
AT_EVERY_BOUND = replace(
    MIXED,
    level="exam",
    age=16,
    tested=int(of_day_time("Monday 09:00")),
    service=int(of_day_time("Wednesday 09:00")),
    percent=D(9),
    ingredient="m_aminophenol",
    tube=D(3),
    limit=D("1.2"),
)


def posed(card: Card) -> Question:
    question = pose(FAMILY, Drawn(card), Level(card.level), RULES)
    assert question is not None
    return question


def slips(card: Card) -> dict[tuple[str, str], object]:
    return {(m.id, m.field): m.value for m in posed(card).mistakes}


def test_forty_seven_hours_since_the_test() -> None:
    question = posed(PERSON)
    assert question.key == {
        "hours": 47,
        "reasons": Several.of("hours"),
        "go_ahead": "no",
        "earliest": of_day_time("Thursday 14:00"),
    }
    assert slips(PERSON) == {
        ("calendar-days", "hours"): 48,
        ("calendar-days", "reasons"): Several(()),
        ("calendar-days", "go_ahead"): "yes",
    }
    right = {"hours": "47 h", "reasons": "too few hours", "go_ahead": "no", "earliest": "Thu 14:00"}
    assert mark(question, right).share == 100


def test_the_mixtures_of_the_trade_page() -> None:
    assert posed(MIXED).key["strength"] == D("7.2")
    at_the_limit = posed(replace(MIXED, d=D(1)))
    assert at_the_limit.key["ingredient"] == D("1.25")
    assert at_the_limit.key["reasons"] == Several.of("hours")


def test_every_figure_at_its_bound_may_go_ahead() -> None:
    question = posed(AT_EVERY_BOUND)
    assert question.key == {
        "hours": 48,
        "strength": D("5.4"),
        "ingredient": D("1.2"),
        "reasons": Several(()),
        "go_ahead": "yes",
        "earliest": NONE,
    }
    found = slips(AT_EVERY_BOUND)
    assert found["sixteen", "reasons"] == Several.of("age")
    assert found["at-limit", "reasons"] == Several.of("ingredient")
    # Both lead to a plain no, so that a plain no names neither.
    assert mark(question, {"go_ahead": "no"}).of("go_ahead").verdict is Verdict.WRONG
    assert "no reason to refuse was found" in {line.sum for line in question.solution}


def test_a_plain_no_is_named_where_one_slip_leads_there() -> None:
    older = replace(AT_EVERY_BOUND, age=30)
    assert slips(older)["at-limit", "go_ahead"] == "no"
    assert mark(posed(older), {"go_ahead": "no"}).of("go_ahead").sentence == (
        "At the limit is still within it."
    )


def test_the_bottle_is_not_the_mixture() -> None:
    under = replace(AT_EVERY_BOUND, tube=D(2))
    found = slips(under)
    assert found["bottle-limit", "strength"] == 9
    assert found["bottle-limit", "ingredient"] == 2
    assert found["bottle-limit", "reasons"] == Several.of("ingredient")


def test_forty_volume_is_twelve_per_cent_by_law() -> None:
    card = replace(MIXED, d=D(2), in_volume=True, age=30, service=MIXED.service + 120)
    found = slips(card)
    assert found["lab-conversion", "strength"] == D("12.14")
    assert found["bottle-limit", "strength"] == 12
    assert found["lab-conversion", "reasons"] == Several.of("peroxide")
    sentences = {m.sentence for m in posed(card).mistakes if m.id == "lab-conversion"}
    assert sentences == {"The law equates 12 % with 40 volume."}
    assert {"Developer": "40"}.items() <= {g.label: g.value for g in posed(card).givens}.items()


def test_a_test_that_nobody_read_is_no_test() -> None:
    card = replace(PERSON, reading="not read", service=PERSON.service + 120)
    question = posed(card)
    assert question.key["reasons"] == Several.of("reading")
    assert question.key["earliest"] == NONE
    marked = mark(question, {"go_ahead": "yes"})
    assert marked.not_safe
    assert marked.of("go_ahead").sentence == (
        "Not safe: the answer is no. A test nobody read is no test."
    )


def test_going_ahead_is_the_safety_field_and_weighs_double() -> None:
    question = posed(MIXED)
    assert {f.key: f.safety for f in question.fields if f.safety} == {"go_ahead": Safety.YES_FOR_NO}
    assert {f.key: f.weight for f in question.fields if f.weight > 1} == {"go_ahead": 2}
    refused = mark(posed(AT_EVERY_BOUND), {"go_ahead": "no"})
    assert not refused.not_safe


def test_reasons_carry_over_from_own_figures_and_the_verdict_does_not() -> None:
    question = posed(PERSON)
    answers = {"hours": "48", "reasons": "none", "go_ahead": "yes", "earliest": "none"}
    marked = mark(question, answers)
    assert marked.of("hours").mistake == "calendar-days"
    assert marked.of("reasons").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("reasons").working == "your 48 h = none of these"
    assert marked.of("go_ahead").verdict is Verdict.SLIP
    assert marked.of("earliest").verdict is Verdict.WRONG
    assert marked.not_safe
    own = {line.line.field: line.own for line in worked(question, answers)}["reasons"]
    assert own is not None
    assert own.result == "none of these"


def test_reasons_carry_over_from_the_own_ingredient() -> None:
    marked = mark(posed(AT_EVERY_BOUND), {"ingredient": "3", "reasons": "ingredient"})
    assert marked.of("ingredient").mistake == "bottle-limit"
    assert marked.of("reasons").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("reasons").working == "your 3 % = Ingredient above its limit"


@pytest.mark.parametrize(("days", "reasons"), [(84, ()), (85, ("days",))])
def test_a_result_is_used_for_twelve_weeks(days: int, reasons: tuple[str, ...]) -> None:
    question = posed(replace(PERSON, days=days))
    assert question.fields[0].key == "days"
    assert question.key["days"] == days
    assert question.key["reasons"] == Several.of(*reasons)
    assert "12 weeks" in question.text
    carried = mark(question, {"days": "90 days", "reasons": "days"}).of("reasons")
    assert carried.verdict is (Verdict.RIGHT if reasons else Verdict.FOLLOW_THROUGH)


def test_the_earliest_time_takes_day_and_hour_or_none() -> None:
    question = posed(PERSON)
    earliest = question.field("earliest")
    assert earliest.or_none
    for written in ("Thursday 14:00", "thu 14.00", "14:00 on Thursday"):
        assert mark(question, {"earliest": written}).of("earliest").verdict is Verdict.RIGHT
    unread = mark(question, {"earliest": "14:00"}).of("earliest")
    assert unread.verdict is Verdict.UNREAD
    assert "for example Monday 08:05" in unread.sentence


def test_waiting_does_not_help_where_something_else_stands_against_it() -> None:
    both = posed(replace(PERSON, age=15))
    assert both.key["reasons"] == Several.of("age", "hours")
    assert both.key["earliest"] == NONE


def test_seventy_two_hours_of_a_label_move_the_earliest_time_and_are_printed() -> None:
    label = replace(training_labels()["training-cream-a"], skin_test_hours=D(72))
    question = settled_anew(posed(PERSON), RULES.with_label(label))
    assert question is not None
    assert question.key["earliest"] == of_day_time("Friday 14:00")
    rows = {given.label: (given.value, given.unit) for given in question.givens}
    assert rows["Label, skin test at least"] == ("72", "h before")
    assert not any(given.label.startswith("Label") for given in posed(PERSON).givens)


@pytest.mark.parametrize(
    ("level", "asked"),
    [
        (Level.FIRST, ["reasons", "go_ahead", "earliest"]),
        (Level.WORKING, ["strength", "ingredient", "reasons", "go_ahead", "earliest"]),
        (Level.EXAM, ["strength", "ingredient", "reasons", "go_ahead", "earliest"]),
    ],
)
def test_each_level_asks_its_fields(level: Level, asked: list[str]) -> None:
    for seed in range(40):
        question = draw(FAMILY.key, level, seed, RULES)
        assert question.fields[0].key in {"hours", "days"}
        assert [field.key for field in question.fields[1:]] == asked
        if level is Level.FIRST:
            reasons = question.key["reasons"]
            assert isinstance(reasons, Several)
            assert len(reasons.keys) <= 1


@pytest.mark.parametrize("level", [Level.WORKING, Level.EXAM])
def test_the_ingredient_lies_under_at_and_over_its_limit_a_third_each(level: Level) -> None:
    found = []
    for seed in range(300):
        card = Card(**draw(FAMILY.key, level, seed, RULES).parameters)  # type: ignore[arg-type]
        assert card.mixed is not None
        assert card.limit is not None
        found.append((card.mixed > card.limit) - (card.mixed < card.limit))
    assert all(70 <= found.count(side) <= 130 for side in (-1, 0, 1))


def test_every_ingredient_with_a_limit_comes_up() -> None:
    found = {
        draw(FAMILY.key, Level.WORKING, seed, RULES).parameters["ingredient"] for seed in range(120)
    }
    limited = {key.removeprefix("legal_limit.") for key in BOOK.rules if "legal_limit." in key}
    # Peroxide is asked about by itself, and the word on the label is no limit on the head.
    assert found == limited - {"peroxide", "ammonia_label_word"}


def test_at_level_exam_everything_lies_at_its_bounds() -> None:
    for seed in range(300):
        card = Card(**draw(FAMILY.key, Level.EXAM, seed, RULES).parameters)  # type: ignore[arg-type]
        assert 15 <= card.age <= 17
        if card.days is None:
            assert card.hours in {D("47.5"), 48, D("48.5")}
        else:
            assert card.days in {84, 85}


MOMENT = re.compile(r"(\w+day) (\d\d):(\d\d)")


def minutes_of(moment: str) -> int:
    found = MOMENT.fullmatch(moment)
    assert found is not None, moment
    day, hours, minutes = found.groups()
    return (WEEKDAYS.index(day) * 24 + int(hours)) * 60 + int(minutes)


def reckoned(question: Question) -> dict[str, object]:
    """Everything anew from what is printed."""
    rows = {given.label.partition(", ")[0]: given for given in question.givens}
    service = minutes_of(rows["Service"].value)
    test = rows["Skin test"].value
    expected: dict[str, object] = {}
    if "earlier" in test:
        counted = {unit[:4]: int(n) for n, unit in re.findall(r"(\d+) (week|day)", test)}
        days = Fraction(7 * counted.get("week", 0) + counted.get("day", 0))
        expected["days"] = days
        hours = days * 24
        tested = None
    else:
        tested = minutes_of(test)
        hours = Fraction(service - tested, 60)
        expected["hours"] = hours
    reasons = {
        "age": int(rows["Age"].value) < 16,
        "hours": hours < 48,
        "days": hours > 84 * 24,
        "reading": rows["Reading of the test"].value != "clear",
        "product": rows["Colour today"].value != rows["Test made with"].value,
        "contra_indication": rows["Questions about scalp and earlier reactions"].value
        != "no to all",
    }
    if "Developer" in rows:
        figure = Fraction(rows["Developer"].value)
        percent = figure * Fraction(3, 10) if rows["Developer"].unit == "vol" else figure
        d = Fraction(rows["Colour to developer"].value.removeprefix("1:"))
        expected["strength"] = percent * d / (1 + d)
        mixed = Fraction(rows["In the tube"].value) / (1 + d)
        expected["ingredient"] = mixed
        limit = Fraction(rows["Limit on the head"].value)
        reasons["ingredient"] = mixed > limit
    against = {name for name, stands in reasons.items() if stands}
    waits = against == {"hours"} and tested is not None
    return expected | {
        "reasons": Several.of(*against),
        "go_ahead": "no" if against else "yes",
        "earliest": Fraction((tested or 0) + 48 * 60) if waits else NONE,
    }


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("count", MANY)
def test_keys_agree_with_a_reckoning_of_their_own_and_numbers_stay_in_range(
    level: Level, count: int
) -> None:
    for seed in range(count):
        question = draw(FAMILY.key, level, seed, RULES)
        expected = reckoned(question)
        assert set(question.key) == set(expected)
        for name, value in question.key.items():
            right = expected[name]
            if isinstance(value, Decimal):
                assert isinstance(right, Fraction)
                assert abs(Fraction(value) - right) < Fraction(1, 10**20), (name, question.identity)
            else:
                assert value == right, (name, question.identity)
        card = Card(**question.parameters)  # type: ignore[arg-type]
        assert 14 <= card.age <= 70
        assert 9 * 60 <= card.service % (24 * 60) <= 18 * 60
        assert card.service < 6 * 24 * 60
        assert card.d in {None, 1, D("1.5"), 2}
        assert card.percent in {None, 3, 6, 9, 12}
        assert not card.in_volume or card.percent == 12
