"""A two-process plan put in the order of the clock. Times: trade.md 4.11 and 4.17, computed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Level,
    Question,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
)
from academy.craft.exercise.families.order_of_a_two_process_plan import (
    OrderOfATwoProcessPlan,
    PlanOrder,
)
from academy.craft.exercise.families.order_of_a_two_process_plan.events import asked
from academy.craft.exercise.families.two_process_timing.plan import settled
from academy.craft.measure import Kind, Order, of_clock
from academy.craft.rules import Rules, standard_rules, training_labels
from academy.craft.timing import Event

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
CREAM_A = training_labels()["training-cream-a"]
FAMILY = OrderOfATwoProcessPlan()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]
EIGHT = (
    Event.FOILS_READY,
    Event.ROOT_CHECK,
    Event.FIRST_CLOSED,
    Event.LATEST,
    Event.ROOT_ENDS,
    Event.FOIL_CHECK,
    Event.LAST_CLOSED,
    Event.FOIL_CEILING,
)


def posed(
    events: tuple[Event, ...],
    level: Level,
    foils: tuple[int, int] = (10, 2),
    start: str = "10:00",
    resistance: str = "resistant",
    rules: Rules = RULES,
) -> Question | None:
    service = settled(
        Level.WORKING,
        rules,
        starts_at=of_clock(start),
        application=D(20),
        resistance=resistance,
        foils=D(foils[0]),
        pace=D(foils[1]),
    )
    assert service is not None
    drawn = asked(service, level, events)
    return None if drawn is None else pose(FAMILY, drawn, level, rules)


def surely(question: Question | None) -> Question:
    assert question is not None
    return question


TEN_FOILS = surely(posed(EIGHT, Level.EXAM))
SIX = tuple(event for event in EIGHT if event not in {Event.LATEST, Event.FOIL_CEILING})
WORKING = surely(posed(SIX, Level.WORKING))


def events_of(question: Question) -> list[str]:
    """The words of the events in the order of the key."""
    names = {choice.key: choice.label for choice in question.field("order").choices}
    order = question.key["order"]
    assert isinstance(order, Order)
    return [names[letter] for letter in order.keys]


def letters(question: Question, *events: str) -> str:
    """An answer: the letters of these events, in this order."""
    of = {choice.label: choice.key for choice in question.field("order").choices}
    return ", ".join(of[event] for event in events)


def test_ten_foils_beside_the_roots_in_the_order_of_the_clock() -> None:
    assert [(line.words, line.result) for line in TEN_FOILS.solution[:-1]] == [
        ("Root colour is on", "10:20"),
        ("First foil closed", "10:27"),
        ("Last foil closed", "10:45"),
        ("First foil check", "10:47"),
        ("Root check", "11:00"),
        ("Foils ready", "11:05"),
        ("Latest joint rinse", "11:10"),
        ("Ceiling of the foils", "11:17"),
    ]
    assert events_of(TEN_FOILS) == [line.words for line in TEN_FOILS.solution[:-1]]
    assert TEN_FOILS.key["order"] == Order(tuple("ecgfbadh"))


def test_fourteen_foils_that_do_not_fit_are_ready_last() -> None:
    question = surely(
        posed(EIGHT, Level.EXAM, (14, 3), "09:00", "normal", RULES.with_label(CREAM_A))
    )
    assert [(line.words, line.result) for line in question.solution[:-1]] == [
        ("Root colour is on", "09:20"),
        ("First foil closed", "09:28"),
        ("First foil check", "09:48"),
        ("Root check", "09:55"),
        ("Latest joint rinse", "10:05"),
        ("Last foil closed", "10:07"),
        ("Ceiling of the foils", "10:18"),
        ("Foils ready", "10:27"),
    ]


def test_the_order_weighs_three() -> None:
    (field,) = TEN_FOILS.fields
    assert (field.kind, field.weight) == (Kind.ORDER, 3)


def test_counting_the_roots_from_the_start_is_named() -> None:
    """From the start the root check is at 10:40, before the last foil."""
    answer = letters(
        WORKING,
        "Root colour is on",
        "First foil closed",
        "Root check",
        "Last foil closed",
        "First foil check",
        "Foils ready",
    )
    marked = mark(WORKING, {"order": answer}).of("order")
    assert marked.mistake == "from-start"
    assert marked.sentence == "Time counts from the end of application."
    assert marked.marks == 0


def test_one_process_after_the_other_is_named() -> None:
    """In a row the root check is at 11:25, after the foils are ready."""
    answer = letters(
        WORKING,
        "Root colour is on",
        "First foil closed",
        "Last foil closed",
        "First foil check",
        "Foils ready",
        "Root check",
    )
    assert mark(WORKING, {"order": answer}).of("order").mistake == "in-a-row"


def test_without_the_change_over_the_foils_come_earlier_at_exam_only() -> None:
    """With 14 foils at 3 min: the last at 10:02, before the latest joint rinse at 10:05."""
    question = surely(
        posed(EIGHT, Level.EXAM, (14, 3), "09:00", "normal", RULES.with_label(CREAM_A))
    )
    found = {m.id: m.sentence for m in question.mistakes}
    assert found["no-changeover"] == "Gloves and comb take 5 min."
    assert "no-changeover" not in {m.id for m in WORKING.mistakes}


def test_the_youngest_foil_decides_when_all_are_ready() -> None:
    """By the first foil they were ready at 10:47, before the root check; no check beside it."""
    events = (Event.FOILS_READY, Event.ROOT_CHECK, Event.FIRST_CLOSED, Event.LAST_CLOSED)
    question = surely(posed(events, Level.WORKING, (14, 2), resistance="normal"))
    answer = letters(question, "First foil closed", "Foils ready", "Last foil closed", "Root check")
    assert mark(question, {"order": answer}).of("order").mistake == "first-decides"


def test_two_neighbours_exchanged_are_told_their_times() -> None:
    names = events_of(WORKING)
    swapped = [names[1], names[0], *names[2:]]
    marked = mark(WORKING, {"order": letters(WORKING, *swapped)}).of("order")
    assert marked.mistake == "neighbours-exchanged"
    assert marked.sentence == ("Root colour is on (10:20) comes before first foil closed (10:27).")


def test_the_whole_order_backwards_is_its_own_slip() -> None:
    answer = letters(WORKING, *reversed(events_of(WORKING)))
    marked = mark(WORKING, {"order": answer}).of("order")
    assert marked.mistake == "backwards"
    assert marked.sentence == (
        "That is the order backwards: root colour is on (10:20) comes first."
    )


def test_any_other_order_is_wrong() -> None:
    names = events_of(WORKING)
    answer = letters(WORKING, *names[2:], *names[:2])
    assert mark(WORKING, {"order": answer}).of("order").verdict is Verdict.WRONG


def test_two_events_at_the_same_minute_are_not_asked() -> None:
    """Ten foils at 3 min: the last is closed at 10:55, just when the roots are checked."""
    both = (Event.LAST_CLOSED, Event.ROOT_CHECK, Event.FIRST_CLOSED)
    assert posed(both, Level.WORKING, (10, 3), resistance="normal") is None
    assert posed(both, Level.WORKING, (10, 3), resistance="resistant") is not None


def test_marked_again_under_rules_that_bring_two_events_together_nothing_is_left() -> None:
    assert settled_anew(WORKING, RULES) == WORKING
    longer = Rules(BOOK, {"two_process.foil_least": D(15)}, None, 4)
    assert settled_anew(WORKING, longer) is None
    later = Rules(BOOK, {"two_process.foil_least": D(10)}, None, 4)
    anew = settled_anew(WORKING, later)
    assert anew is not None
    assert events_of(anew)[-2:] == ["Foils ready", "Root check"]
    assert anew.fields == WORKING.fields


@pytest.mark.parametrize(
    ("level", "known"),
    [
        (
            Level.FIRST,
            {"Root colour starts", "Root colour is on", "First foil closed", "Last foil closed"},
        ),
        (Level.WORKING, {"Root colour starts", "First foil closed"}),
        (Level.EXAM, {"Root colour starts"}),
    ],
)
def test_the_higher_the_level_the_fewer_times_are_printed(level: Level, known: set[str]) -> None:
    for seed in range(50):
        question = draw(FAMILY.key, level, seed, RULES)
        assert {row.label for row in question.givens if ":" in row.value} == known


def test_a_printed_time_is_not_worked_out_from_figures_nobody_has() -> None:
    for level in (Level.FIRST, Level.WORKING):
        question = draw(FAMILY.key, level, 4, RULES)
        printed = {row.label for row in question.givens}
        for line in question.solution[:-1]:
            assert (line.sum == "as given") is (line.words in printed), line


def test_what_is_asked_can_be_worked_out_from_what_is_printed() -> None:
    for seed in range(200):
        question = draw(FAMILY.key, Level.WORKING, seed, RULES)
        rows = {row.label for row in question.givens}
        names = set(events_of(question))
        if "First foil begun" in names:
            assert "Gloves and comb" in rows
        if "Foils ready" in names:
            assert "A foil needs at least" in rows
        if "Latest joint rinse" in names:
            assert {"Ceiling of the roots", "A foil has at most"} <= rows


def test_a_label_that_counts_from_the_start_is_followed_and_said() -> None:
    label = replace(CREAM_A, counts_from_start=True)
    question = draw(FAMILY.key, Level.EXAM, 3, RULES.with_label(label))
    rows = {row.label: row.value for row in question.givens}
    assert rows["Time counts from the"] == "start of application"
    assert "from-start" not in {m.id for m in question.mistakes}


def by_fractions(plan: PlanOrder) -> dict[str, Fraction]:
    """The times of trade.md 4.11, worked without the library."""
    ends = Fraction(plan.starts_at + plan.application)
    begun = ends + Fraction(plan.change_over)
    first = begun + Fraction(plan.pace)
    last = begun + Fraction(plan.foils) * Fraction(plan.pace)
    ceilings = ends + Fraction(plan.root_ceiling), first + Fraction(plan.foil_ceiling_after)
    return {
        "Root colour is on": ends,
        "First foil begun": begun,
        "First foil closed": first,
        "Last foil closed": last,
        "Root check": ends + Fraction(plan.root_minutes),
        "First foil check": first + Fraction(plan.foil_check_after),
        "Foils ready": last + Fraction(plan.foil_least),
        "Latest rinse of the roots": ceilings[0],
        "Ceiling of the foils": ceilings[1],
        "Latest joint rinse": min(ceilings),
    }


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_the_order_agrees_with_times_computed_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        at = by_fractions(PlanOrder(**question.parameters))  # type: ignore[arg-type]
        times = [at[event] for event in events_of(question)]
        assert times == sorted(set(times)), question.identity


@pytest.mark.parametrize(("level", "many"), [(Level.FIRST, 5), (Level.WORKING, 6), (Level.EXAM, 8)])
def test_numbers_stay_in_the_stated_ranges(level: Level, many: int) -> None:
    orders = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        plan = PlanOrder(**question.parameters)  # type: ignore[arg-type]
        assert plan.application in {15, 20, 25}
        assert plan.foils in {6, 8, 10, 12, 14}
        assert plan.pace in {2, 3}
        assert plan.rounds == 0
        assert len(plan.in_order) == many
        assert bool(plan.label) is (level is Level.EXAM)
        assert max(plan.at(event) for event in plan.in_order) < 24 * 60
        assert {"neighbours-exchanged", "backwards"} <= {m.id for m in question.mistakes}
        orders.add(plan.events)
    assert len(orders) >= (3 if level is Level.FIRST else 10)
