"""Estimating the share of white. Figures: trade.md, computed (4.16 and 4.17)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Drawn,
    Level,
    Question,
    Verdict,
    draw,
    mark,
    pose,
    worked,
)
from academy.craft.exercise.families.estimate_white_percentage import (
    EstimateWhitePercentage,
    Sample,
)
from academy.craft.exercise.families.estimate_white_percentage.sample import BANDS, settle_sample
from academy.craft.formula.white_hair import Resistance
from academy.craft.rules import Label, Rules, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = EstimateWhitePercentage()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]
AREAS = ("front", "sides", "crown", "back", "nape")


def sample(
    hairs: int,
    counts: tuple[int, ...],
    resistance: Resistance = Resistance.NORMAL,
    rules: Rules = RULES,
    level: Level = Level.WORKING,
) -> Sample:
    counted = dict(zip(AREAS, counts, strict=True))
    return settle_sample(level, hairs, resistance, counted, rules)[0]


def posed(found: Sample, rules: Rules = RULES) -> Question:
    question = pose(FAMILY, Drawn(found), Level(found.level), rules, diagnosable=False)
    assert question is not None
    return question


TWENTY = posed(sample(20, (14, 12, 8, 4, 2)))
FORTY = posed(sample(40, (14, 8, 18, 24, 6), Resistance.RESISTANT, level=Level.EXAM))


def test_twenty_hairs_in_each_area() -> None:
    assert TWENTY.key == {
        "front": 70,
        "sides": 60,
        "crown": 40,
        "back": 20,
        "nape": 10,
        "head": D("38.4"),
        "share": 25,
        "start": "front",
    }


def test_its_slips_have_the_published_values() -> None:
    head = {m.id: m.value for m in TWENTY.mistakes if m.field == "head"}
    assert head == {
        "plain-mean": 40,
        "front-only": 70,
        "count-as-percent": D("7.68"),
        "pigmented": D("61.6"),
    }
    front = {m.id: m.value for m in TWENTY.mistakes if m.field == "front"}
    assert front == {"count-as-percent": 14, "pigmented": 30}
    assert {m.sentence for m in TWENTY.mistakes if m.id == "count-as-percent"} == {"Out of 20."}


def test_forty_hairs_in_each_area_of_resistant_hair() -> None:
    assert FORTY.key == {
        "front": 35,
        "sides": 20,
        "crown": 45,
        "back": 60,
        "nape": 15,
        "head": D("42.7"),
        "share": 75,
        "start": "back",
    }
    slips = {(m.id, m.field): m.value for m in FORTY.mistakes}
    assert slips["plain-mean", "head"] == 35
    assert slips["wrong-column", "share"] == 50
    assert "the whitest leads by 15 points, 10 make a lead" in {s.sum for s in FORTY.solution}


def test_the_plain_mean_would_choose_another_share() -> None:
    marked = mark(FORTY, {"head": "35", "share": "50", "start": "back"})
    assert marked.of("head").sentence == "The back is the largest area; weigh it."
    assert marked.of("share").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("share").working == "35 % lies in 25 to 40 = 50 %"


def test_the_head_and_the_start_carry_over_from_own_areas() -> None:
    answers = {
        "front": "70",
        "sides": "60",
        "crown": "40",
        "back": "80",
        "nape": "10",
        "head": "60",
        "share": "50",
        "start": "back",
    }
    marked = mark(TWENTY, answers)
    assert marked.of("back").mistake == "pigmented"
    assert marked.of("head").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("share").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("start").verdict is Verdict.FOLLOW_THROUGH
    own = {line.line.field: line.own for line in worked(TWENTY, answers)}
    assert own["head"] is not None
    assert own["head"].result == "60 %"
    assert own["front"] is None


@pytest.mark.parametrize(
    ("counts", "border", "share", "below", "sentence"),
    [
        ((8, 8, 8, 8, 8), 40, 50, 25, "40 belongs to 40-70."),
        ((5, 5, 5, 5, 5), 25, 25, 0, "25 belongs to 25-40."),
        ((14, 14, 14, 14, 14), 70, 75, 50, "70 belongs to 70-100."),
    ],
)
def test_a_border_belongs_to_the_band_above_it(
    counts: tuple[int, ...], border: int, share: int, below: int, sentence: str
) -> None:
    question = posed(sample(20, counts))
    assert question.key["head"] == border
    assert question.key["share"] == share
    marked = mark(question, {"share": str(below)}).of("share")
    assert (marked.mistake, marked.sentence) == ("wrong-border", sentence)
    assert question.key["start"] == "ear_to_ear"


def test_the_bands_are_those_of_the_rule() -> None:
    assert BOOK.bands["white_base_share"] == BANDS


def test_the_house_can_choose_another_method_and_a_longer_lead() -> None:
    half = Rules(BOOK, {"white_rule": "half"}, None, 2)
    halved = posed(sample(20, (14, 12, 8, 4, 2), rules=half), half)
    assert halved.key["share"] == 50
    assert "38.4 % is at least 25 %" in {line.sum for line in halved.solution}
    at_the_border = posed(sample(20, (5, 5, 5, 5, 5), rules=half), half)
    assert mark(at_the_border, {"share": "0"}).of("share").sentence == (
        "25 % is enough: half from 25 % white on."
    )
    by_white = Rules(BOOK, {"white_rule": "proportional", "start_lead": D(15)}, None, 3)
    question = posed(sample(20, (14, 12, 8, 4, 2), rules=by_white), by_white)
    assert question.key["share"] == D("38.4")
    assert question.key["start"] == "ear_to_ear"
    assert not [m for m in question.mistakes if m.field == "share"]
    rows = {given.label: given.value for given in question.givens}
    assert rows["House rule for the base shade"] == "as much as the white"


def test_a_label_with_bands_of_its_own_wins_in_each_band_it_prints() -> None:
    label = Label("Band colour", "permanent", white_bands={"normal.25": D(40)})
    rules = Rules(BOOK, {"white_rule": "proportional"}, label, 3)
    found = sample(20, (14, 12, 8, 4, 2), rules=rules)
    assert found.shares == (None, None, D(40), None, None)
    question = posed(found, rules)
    assert question.key["share"] == 40
    rows = {given.label: given.value for given in question.givens}
    assert rows["Label of Band colour, base shade"] == "40 % from 25 % white"
    assert found.share_at(D(50)) == 50


@pytest.mark.parametrize(
    ("level", "asked"),
    [
        (Level.WORKING, [*AREAS, "head", "share", "start"]),
        (Level.EXAM, [*AREAS, "head", "share", "start"]),
    ],
)
def test_each_level_asks_its_fields(level: Level, asked: list[str]) -> None:
    question = draw(FAMILY.key, level, 3, RULES)
    assert [field.key for field in question.fields] == asked
    assert {field.key for field in question.fields if field.weight == 2} == {"head"}
    assert not any(field.safety for field in question.fields)


def test_level_first_asks_for_two_areas_and_knows_two_slips() -> None:
    pairs = set()
    for seed in range(300):
        question = draw(FAMILY.key, Level.FIRST, seed, RULES)
        assert len(question.fields) == 2
        assert {m.id for m in question.mistakes} <= {"count-as-percent", "pigmented"}
        pairs.add(tuple(field.key for field in question.fields))
    assert len(pairs) == 10


def test_at_level_exam_the_plain_mean_lies_in_another_band() -> None:
    for seed in range(300):
        question = draw(FAMILY.key, Level.EXAM, seed, RULES)
        mean = next(m.value for m in question.mistakes if m.id == "plain-mean")
        head = question.key["head"]
        assert isinstance(mean, Decimal)
        assert isinstance(head, Decimal)
        assert abs(mean - head) > 1
        assert sum(mean >= bound for bound in BANDS) != sum(head >= bound for bound in BANDS)


@pytest.mark.parametrize("level", [Level.WORKING, Level.EXAM])
def test_a_head_lies_at_a_border_or_clear_of_it(level: Level) -> None:
    for seed in range(300):
        head = draw(FAMILY.key, level, seed, RULES).key["head"]
        assert isinstance(head, Decimal)
        assert all(head == border or abs(head - border) > 1 for border in BANDS[1:])


def test_borders_and_leads_come_up() -> None:
    questions = [draw(FAMILY.key, Level.WORKING, seed, RULES) for seed in range(300)]
    at_border = [q for q in questions if "wrong-border" in {m.id for m in q.mistakes}]
    no_lead = [q for q in questions if q.key["start"] == "ear_to_ear"]
    assert 10 <= len(at_border) <= 100
    assert 60 <= len(no_lead) <= 240


NORMAL_SHARES = (0, 0, 25, 50, 75)
RESISTANT_SHARES = (0, 25, 50, 75, 75)
SCALP = {"front": 22, "sides": 10, "crown": 22, "back": 36, "nape": 10}


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("count", MANY)
def test_keys_agree_with_a_reckoning_of_their_own_and_numbers_stay_in_range(
    level: Level, count: int
) -> None:
    for seed in range(count):
        question = draw(FAMILY.key, level, seed, RULES)
        rows = {given.label: given.value for given in question.givens}
        hairs = int(rows["Hairs counted in each area"])
        assert hairs in ({20} if level is Level.FIRST else {20, 40})
        white = {
            area: int(rows[f"White hairs, {area}"])
            for area in AREAS
            if f"White hairs, {area}" in rows
        }
        expected: dict[str, Fraction] = {
            area: Fraction(100 * found, hairs) for area, found in white.items()
        }
        assert all(0 <= found <= hairs for found in white.values())
        if level is not Level.FIRST:
            by_area = dict(expected)
            head = sum((SCALP[a] * by_area[a] for a in AREAS), Fraction(0)) / 100
            band = sum(head >= bound for bound in (10, 25, 40, 70))
            shares = RESISTANT_SHARES if rows["Hair"] == "resistant" else NORMAL_SHARES
            expected |= {"head": head, "share": Fraction(shares[band])}
            first, second, *_ = sorted(by_area.values(), reverse=True)
            whitest = max(by_area, key=lambda area: by_area[area])
            start = whitest if first - second >= 10 else "ear_to_ear"
            assert question.key["start"] == start
        figures = {key: value for key, value in question.key.items() if key != "start"}
        assert set(figures) == set(expected)
        for key, value in figures.items():
            assert isinstance(value, Decimal)
            assert Fraction(value) == expected[key], (key, question.identity)
