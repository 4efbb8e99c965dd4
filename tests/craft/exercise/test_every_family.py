"""What holds for every question of every family, at every level, under several house rules."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from itertools import combinations

import pytest
from hypothesis import given, settings, strategies as st

from academy.craft.exercise.engine import (
    FAMILIES,
    Family,
    Level,
    Material,
    Question,
    Verdict,
    draw,
    families,
    family_of,
    made_from_a_module,
    mark,
    settled_anew,
    worked,
)
from academy.craft.measure import NONE, Kind, Order, Several, Spot, Value, shown_as
from academy.craft.rules import Rules, standard_rules

SEEDS, FEWER = range(300), range(80)
BOOK = standard_rules()
HOUSES = {
    "standard": Rules(BOOK),
    "proportional": Rules(BOOK, {"white_rule": "proportional", "start_lead": Decimal(15)}, None, 4),
    "half": Rules(BOOK, {"white_rule": "half", "mixing_ratio.permanent": Decimal("1.5")}, None, 5),
    "wide": Rules(
        BOOK,
        {
            "tolerance.grams": Decimal(2),
            "spread": Decimal("0.1"),
            "developer_strength.full_coverage": Decimal(9),
            "white_base_share.normal.40": Decimal(60),
        },
        None,
        6,
    ),
}
SMALL = {("scale-a-recipe-to-a-head", Level.FIRST): 15, ("gloss-equal-parts", Level.FIRST): 5}
"""Levels that have no more questions than these, by the trade page."""
MODULE = Material(
    "Foil folding",
    tuple(
        f"{deed.capitalize()} with clean hands and look at the edge"
        for deed in (
            "cut the foil",
            "fold the top edge",
            "lay the weave",
            "brush the product",
            "fold in thirds",
            "fold once more",
            "fold the corners",
            "count the packets",
        )
    ),
)
CASES = [
    pytest.param(family.key, level, house, id=f"{family.key}-{level}-{house}")
    for family in families()
    for level in Level
    for house in HOUSES
]


@cache
def drawn(family: str, level: Level, house: str) -> list[Question]:
    seeds = SEEDS if house == "standard" else FEWER
    return [again(family, level, seed, house) for seed in seeds]


def again(family: str, level: Level, seed: int, house: str) -> Question:
    material = MODULE if made_from_a_module(family_of(family)) else None
    return draw(family, level, seed, HOUSES[house], material=material)


def written(question: Question, key: str, value: Value) -> str:
    """As the solution prints it; choices by their keys, a spot by its angles."""
    if isinstance(value, Several | Order):
        return ", ".join(value.keys) or NONE
    if isinstance(value, Spot):
        return f"{value.azimuth} {value.elevation}"
    field = question.field(key)
    return str(value) if field.choices else shown_as(field.kind, value)


def right_answers(question: Question) -> dict[str, str]:
    return {f.key: written(question, f.key, question.key[f.key]) for f in question.fields}


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_every_slip_can_be_told_from_the_key_and_from_every_other(
    family: str, level: Level, house: str
) -> None:
    for question in drawn(family, level, house):
        for field in question.fields:
            slips = [m.value for m in question.mistakes if m.field == field.key]
            for one, other in combinations([question.key[field.key], *slips], 2):
                assert one != other, question.identity
                if isinstance(one, Decimal) and isinstance(other, Decimal):
                    near = max(field.tolerance.at(one), field.tolerance.at(other))
                    assert abs(one - other) > near, question.identity
                if isinstance(one, Spot) and isinstance(other, Spot):
                    assert one.distance_mm(other) > field.tolerance.plain, question.identity
            for accepted in field.also:
                assert not any(field.tolerance.covers(accepted, slip) for slip in slips)


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_the_printed_solution_earns_every_mark(family: str, level: Level, house: str) -> None:
    for question in drawn(family, level, house):
        marking = mark(question, right_answers(question))
        assert marking.share == 100, question.identity
        assert marking.passed(Decimal(100))


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_every_slip_is_recognised_as_itself(family: str, level: Level, house: str) -> None:
    for question in drawn(family, level, house):
        for mistake in question.mistakes:
            answers = right_answers(question)
            answers[mistake.field] = written(question, mistake.field, mistake.value)
            marked = mark(question, answers).of(mistake.field)
            assert (marked.verdict, marked.mistake) == (Verdict.SLIP, mistake.id), question.identity
            assert mistake.sentence in marked.sentence
            assert marked.marks == 0


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_every_line_of_the_solution_ends_in_the_right_answer(
    family: str, level: Level, house: str
) -> None:
    for question in drawn(family, level, house)[:100]:
        results = {line.field: line.result for line in question.solution if line.field}
        for field in question.fields:
            reading = question.read(field.key, results[field.key])
            assert reading.value is not None, (field.key, results[field.key])
            assert field.earns(question.key[field.key], reading.value)


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_a_question_comes_back_from_json_as_it_was(family: str, level: Level, house: str) -> None:
    for question in drawn(family, level, house)[:100]:
        back = Question.from_json(question.to_json())
        assert back == question
        assert mark(back, right_answers(back)).share == 100


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_the_same_seed_gives_the_same_question(family: str, level: Level, house: str) -> None:
    for question in drawn(family, level, house)[:60]:
        assert again(family, level, question.seed, house) == question


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_seeds_give_many_different_questions(family: str, level: Level, house: str) -> None:
    found = {question.identity for question in drawn(family, level, house)}
    assert len(found) >= SMALL.get((family, level), 20)


NOISE = re.compile(
    r"\d[.,]\d{5,}|\d[eE][+-]?\d|None|Decimal|_|  "
    r"|(?<![\d.,:])1 (?:part|minute|point|depth|day|week|hour|year|month|foil|line|reading)s\b"
    r"|(?<!\d)(?<!\d\)) (?:%|cm|min|vol)(?!\w)(?!² and)|\s[.,;?]|[\"']\w"
)


def prose_of(question: Question) -> list[str]:
    return [
        question.text,
        *(mistake.sentence for mistake in question.mistakes),
        *(field.label for field in question.fields),
        *(f"{line.words}. {line.sum}. {line.result}" for line in question.solution),
        *(f"{row.value} {row.unit}" for row in question.givens if row.unit),
        *(decided.sentence for decided in question.decided),
    ]


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_the_text_is_short_spoken_and_without_noise(family: str, level: Level, house: str) -> None:
    for question in drawn(family, level, house):
        assert len(question.text.split()) <= 60, question.text
        assert re.search(r"\b[Yy]ou", question.text)
        assert question.text.endswith((".", "?"))
        for sentence in prose_of(question):
            assert not NOISE.search(sentence), sentence


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_a_question_asks_what_its_key_holds(family: str, level: Level, house: str) -> None:
    for question in drawn(family, level, house)[:60]:
        for field in question.fields:
            value = question.key[field.key]
            offered = {choice.key for choice in field.choices}
            if isinstance(value, Several | Order):
                assert set(value.keys) <= offered
            elif field.choices:
                assert value in offered
            assert value != NONE or field.or_none
            lowest = -9 if field.kind is Kind.STEPS else 0
            assert not isinstance(value, Decimal) or value >= lowest
        assert {mistake.field for mistake in question.mistakes} <= {f.key for f in question.fields}


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_settled_under_its_own_rules_a_question_is_what_it_was(
    family: str, level: Level, house: str
) -> None:
    for question in drawn(family, level, house)[:60]:
        assert settled_anew(question, HOUSES[house]) == question


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_a_question_can_be_drawn_for_every_slip_it_knows(
    family: str, level: Level, house: str
) -> None:
    known = {
        mistake.id for question in drawn(family, level, house) for mistake in question.mistakes
    }
    material = MODULE if made_from_a_module(family_of(family)) else None
    for slip in known:
        question = draw(family, level, 5, HOUSES[house], slip=slip, material=material)
        assert slip in {mistake.id for mistake in question.mistakes}


def test_solutions_beside_own_figures_show_only_what_comes_out_otherwise() -> None:
    question = drawn("mixing-ratio-quantities", Level.WORKING, "standard")[0]
    assert all(line.own is None for line in worked(question))
    assert all(line.own is None for line in worked(question, right_answers(question)))
    own = worked(question, right_answers(question) | {"cream": "29"})
    changed = {line.line.field for line in own if line.own is not None}
    assert {"shade_1", "developer"} <= changed
    assert "cream" not in changed


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([family.key for family in families()]),
    st.sampled_from(list(Level)),
    st.lists(st.text(max_size=30), min_size=14, max_size=14),
)
def test_rubbish_is_marked_and_never_raises(family: str, level: Level, typed: list[str]) -> None:
    question = drawn(family, level, "standard")[len("".join(typed)) % len(SEEDS)]
    answers = {field.key: text for field, text in zip(question.fields, typed, strict=False)}
    marking = mark(question, answers)
    assert 0 <= marking.marks <= marking.possible
    assert len(worked(question, answers)) == len(question.solution)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([family.key for family in families()]),
    st.sampled_from(list(Level)),
    st.lists(st.decimals(0, 400, places=1), min_size=14, max_size=14),
)
def test_any_figures_can_be_worked_beside_the_solution(
    family: str, level: Level, typed: list[Decimal]
) -> None:
    question = drawn(family, level, "standard")[int(sum(typed)) % len(SEEDS)]
    answers = {f.key: str(value) for f, value in zip(question.fields, typed, strict=False)}
    assert len(worked(question, answers)) == len(question.solution)
    for field in mark(question, answers).fields:
        assert field.verdict is not Verdict.FOLLOW_THROUGH or field.working


def test_every_version_stays_callable_under_its_key() -> None:
    for (key, version), family in FAMILIES.items():
        found: Family[object] = family_of(key, version)
        assert found is family
        assert (family.key, family.version) == (key, version)
