"""Finding the error. Figures: trade.md, computed (4.14 and 4.17)."""

from __future__ import annotations

import re
from collections.abc import Callable
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
    settled_anew,
)
from academy.craft.exercise.families.find_the_error import FindTheError, Sentence
from academy.craft.measure import WEEKDAYS
from academy.craft.rules import Rules, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = FindTheError()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]


def posed(sentence: Sentence) -> Question:
    question = pose(FAMILY, Drawn(sentence), Level(sentence.level), RULES)
    assert question is not None
    return question


def mixture(slip: str, *parts: tuple[int, int], level: str = "working") -> Question:
    weights, percents = [grams for grams, _ in parts], [D(percent) for _, percent in parts]
    return posed(Sentence(level, "mixture", slip).with_parts(weights, percents))


HALF_WAY = mixture("mean", (40, 9), (20, 3))
THREE_PARTS = mixture("mean", (30, 12), (30, 6), (60, 3), level="exam")


def test_forty_grams_of_nine_and_twenty_of_three_do_not_make_six() -> None:
    assert "“40 g of 9 % and 20 g of 3 % make 6 %, half-way.”" in HALF_WAY.text
    assert HALF_WAY.key == {"verdict": "wrong", "reason": "mean", "value": 7}
    assert {(m.id, m.field): m.value for m in HALF_WAY.mistakes} == {
        ("accepts", "verdict"): "right",
        ("plain-mean", "value"): 6,
    }
    assert HALF_WAY.solution[1].sum == "(40 × 9 + 20 × 3) ÷ 60"
    marked = mark(HALF_WAY, {"verdict": "right", "value": "6", "reason": "no slip"})
    assert marked.of("verdict").sentence == "The heavier part pulls the mean."
    assert marked.of("value").mistake == "plain-mean"
    assert marked.marks == 0


def test_three_parts_do_not_make_their_plain_mean() -> None:
    assert "“30 g of 12 %, 30 g of 6 % and 60 g of 3 % make 7 %.”" in THREE_PARTS.text
    assert THREE_PARTS.key["value"] == 6
    slips = {(m.id, m.field): m.value for m in THREE_PARTS.mistakes}
    assert slips["plain-mean", "value"] == 7


def test_the_weaker_part_is_not_water() -> None:
    question = mixture("water", (40, 9), (20, 3))
    assert "make 6 %.”" in question.text
    other = mixture("water", (60, 6), (30, 3))
    assert other.key == {"verdict": "wrong", "reason": "water", "value": 5}
    slips = {(m.id, m.field): m.value for m in other.mistakes}
    assert slips["accepts", "value"] == 4
    assert slips["plain-mean", "value"] == D("4.5")
    assert mark(other, {"verdict": "right"}).of("verdict").sentence == (
        "The weaker one holds peroxide too."
    )


def test_a_true_sentence_is_not_put_right() -> None:
    question = mixture("", (40, 9), (20, 3))
    assert "make 7 %.”" in question.text
    assert question.key == {"verdict": "right", "reason": "no_slip", "value": 7}
    doubted = mark(question, {"verdict": "wrong", "value": "none"})
    assert doubted.of("verdict").mistake == "over-corrects"
    assert doubted.of("verdict").sentence == "Check before you doubt."
    assert doubted.of("value").verdict is Verdict.RIGHT
    assert mark(question, {"value": "7 %"}).of("value").verdict is Verdict.RIGHT
    assert mark(HALF_WAY, {"value": "none"}).of("value").verdict is Verdict.WRONG


WRONG_AND_TRUE = [
    (
        Sentence("working", "volume", "third", volume=20),
        "20 volume is 6.67 %",
        D(6),
        ("divide-by-3", D("6.67"), "0.3 times, not one third."),
        "20 volume is 6 %",
    ),
    (
        Sentence("working", "bottle", "bottle", percent_1=D(9), d=D("1.5")),
        "9 % at 1:1.5 puts 9 % on the head",
        D("5.4"),
        (
            "accepts",
            D(9),
            "That is the bottle strength. The cream in the bowl holds no peroxide.",
        ),
        "9 % at 1:1.5 puts 5.4 % on the head",
    ),
    (
        Sentence("working", "halves", "subtract", percent_1=D(12)),
        "Equal neutral to 12 % takes off 3 % and leaves 9 %",
        D(6),
        ("subtract", D(9), "Halve it."),
        "Equal neutral to 12 % leaves 6 %",
    ),
    (
        Sentence("exam", "dates", "dates", start=18 * 60, end=(48 + 9) * 60),
        "Tested on Monday at 18:00, coloured on Wednesday at 09:00: two days, 48 h",
        D(39),
        ("accepts", D(48), "Count hours."),
        None,
    ),
]


@pytest.mark.parametrize(("sentence", "said", "right", "slip", "true_form"), WRONG_AND_TRUE)
def test_a_wrong_sentence_has_its_right_value_and_its_slip(
    sentence: Sentence,
    said: str,
    right: Decimal,
    slip: tuple[str, Decimal, str],
    true_form: str | None,
) -> None:
    question = posed(sentence)
    assert f"“{said}.”" in question.text
    assert question.key["value"] == right
    name, value, sentence_that_helps = slip
    marked = mark(question, {"verdict": "right", "value": str(value)})
    assert marked.of("value").mistake == name
    assert marked.of("value").sentence == sentence_that_helps
    assert marked.of("verdict").sentence == sentence_that_helps
    if true_form is not None:
        true = settled_anew(
            posed(Sentence(**{**dict(question.parameters), "slip": ""})),  # type: ignore[arg-type]
            RULES,
        )
        assert true is not None
        assert f"“{true_form}.”" in true.text
        assert true.key["verdict"] == "right"


@pytest.mark.parametrize(
    ("sentence", "said", "reason"),
    [
        (
            Sentence("first", "ratio", "turned"),
            "1:2 means half as much developer as colour",
            "turned",
        ),
        (Sentence("first", "ratio", ""), "1:2 means twice as much developer as colour", "no_slip"),
        (
            Sentence("working", "cover", "covers", percent_1=D(9), rule=D(6)),
            "9 % covers white better than 6 %",
            "covers",
        ),
        (
            Sentence("working", "cover", "", percent_1=D(9), rule=D(6)),
            "6 % is taught for covering white; more strength lifts",
            "no_slip",
        ),
        (
            Sentence("working", "tint", "lifts", depth=5),
            "Permanent colour takes tinted depth 5 to 7",
            "lifts",
        ),
        (
            Sentence("working", "tint", "", depth=5),
            "Permanent colour does not take tinted depth 5 to 7",
            "no_slip",
        ),
        (
            Sentence("exam", "clocks", "one_clock", foils=12),
            "All 12 foils started when the first went in",
            "one_clock",
        ),
        (
            Sentence("exam", "clocks", "", foils=12),
            "Each of the 12 foils starts when it closes",
            "no_slip",
        ),
    ],
)
def test_sentences_without_a_figure_ask_for_verdict_and_slip(
    sentence: Sentence, said: str, reason: str
) -> None:
    question = posed(sentence)
    assert f"“{said}.”" in question.text
    assert question.key == {
        "verdict": "right" if reason == "no_slip" else "wrong",
        "reason": reason,
    }
    assert [field.key for field in question.fields] == ["verdict", "reason"]
    compared = next(line for line in question.solution if line.words == "Compared")
    assert compared.sum.startswith("so it is: " if reason == "no_slip" else "not so: ")


def test_twelve_per_cent_mixed_one_to_one_stays_within_the_limit() -> None:
    question = posed(Sentence("working", "limit", "bottle", percent_1=D(12), rule=D(12)))
    assert "“12 % mixed 1:1 breaks the 12 % limit.”" in question.text
    assert question.key == {"verdict": "wrong", "reason": "bottle", "value": 6}
    assert mark(question, {"verdict": "right"}).of("verdict").sentence == (
        "The law looks at the mixture."
    )


def test_the_strength_that_the_house_teaches_is_the_one_in_the_sentence() -> None:
    house = Rules(BOOK, {"developer_strength.full_coverage": D(9)}, None, 4)
    sentence = Sentence("working", "cover", "covers", percent_1=D(9), rule=D(6))
    question = settled_anew(posed(sentence), house)
    assert question is not None
    assert "“12 % covers white better than 9 %.”" in question.text
    assert question.decided[0].sentence == "9 %, from your house rule 4"


@pytest.mark.parametrize(
    ("level", "templates"),
    [
        (Level.FIRST, {"volume", "bottle", "halves", "ratio"}),
        (Level.WORKING, {"mixture", "limit", "cover", "tint", "volume", "bottle", "halves"}),
        (Level.EXAM, {"mixture", "dates", "clocks"}),
    ],
)
def test_each_level_has_its_sentences_and_one_in_four_is_true(
    level: Level, templates: set[str]
) -> None:
    questions = [draw(FAMILY.key, level, seed, RULES) for seed in range(300)]
    assert {q.parameters["template"] for q in questions} == templates
    true = [q for q in questions if q.key["verdict"] == "right"]
    assert 50 <= len(true) <= 100
    for question in questions:
        asked = [field.key for field in question.fields]
        if level is Level.FIRST or "value" not in question.key:
            assert asked == ["verdict", "reason"]
        else:
            assert asked == ["verdict", "value", "reason"]
        assert question.field("verdict").weight == 2
        assert not any(field.safety for field in question.fields)


@pytest.mark.parametrize("level", list(Level))
def test_six_slips_are_offered_and_the_right_one_has_no_place_of_its_own(level: Level) -> None:
    places = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        offered = [choice.key for choice in question.field("reason").choices]
        assert len(offered) == len(set(offered)) == 6
        places.add(offered.index(str(question.key["reason"])))
    assert len(places) >= 4


FIGURE = r"(\d+(?:\.\d+)?)"


def moment(day: str, hours: str, minutes: str) -> int:
    return WEEKDAYS.index(day) * 24 * 60 + int(hours) * 60 + int(minutes)


def mixed(found: re.Match[str]) -> tuple[Fraction, Fraction]:
    said = found[0]
    parts = [
        (Fraction(grams), Fraction(percent))
        for grams, percent in re.findall(rf"{FIGURE} g of {FIGURE} %", said)
    ]
    claim = Fraction(re.findall(rf"make {FIGURE} %", said)[0])
    total = sum((g for g, _ in parts), Fraction(0))
    return claim, sum((g * p for g, p in parts), Fraction(0)) / total


def dated(found: re.Match[str]) -> tuple[Fraction, Fraction]:
    groups = found.groups()
    return Fraction(48), Fraction(moment(*groups[3:6]) - moment(*groups[:3]), 60)


# What each sentence claims and what is so, worked out anew from its words; `None` where it has no
# figure to claim, with the truth beside it.
RECKONED: tuple[tuple[str, Callable[[re.Match[str]], tuple[Fraction | None, Fraction]]], ...] = (
    (r".* g of .* make .*", mixed),
    (
        rf"{FIGURE} volume is {FIGURE} %",
        lambda m: (Fraction(m[2]), Fraction(m[1]) * Fraction(3, 10)),
    ),
    (
        rf"{FIGURE} % at 1:{FIGURE} puts {FIGURE} % on the head",
        lambda m: (Fraction(m[3]), Fraction(m[1]) * Fraction(m[2]) / (1 + Fraction(m[2]))),
    ),
    (
        rf"Equal neutral to {FIGURE} % (?:takes off 3 % and )?leaves {FIGURE} %",
        lambda m: (Fraction(m[2]), Fraction(m[1]) / 2),
    ),
    (
        rf"{FIGURE} % mixed 1:1 (?:breaks|stays within) the 12 % limit",
        lambda m: (None, Fraction(m[1]) / 2),
    ),
    (
        r"Tested on (\w+) at (\d\d):(\d\d), coloured on (\w+) at (\d\d):(\d\d): two days, 48 h",
        dated,
    ),
)
TRUE_WORDS = ("means twice", "stays within", "is taught", "does not take", "starts when it closes")


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("count", MANY)
def test_keys_agree_with_a_reckoning_of_their_own_and_numbers_stay_in_range(
    level: Level, count: int
) -> None:
    for seed in range(count):
        question = draw(FAMILY.key, level, seed, RULES)
        said = question.text.partition("“")[2].partition(".”")[0]
        reckoned = [
            reckon(found) for form, reckon in RECKONED if (found := re.fullmatch(form, said))
        ]
        true = any(words in said for words in TRUE_WORDS)
        assert len(reckoned) <= 1
        for claim, right in reckoned:
            value = question.key["value"]
            assert isinstance(value, Decimal)
            assert Fraction(value) == right, said
            if claim is not None:
                true = claim == right
                assert true or abs(claim - right) > Fraction(1, 10)
        assert (question.key["verdict"] == "right") is true, said
        assert ("value" in question.key) is bool(reckoned)
        for grams in re.findall(r"(\d+) g of", said):
            assert 20 <= int(grams) <= 120
            assert int(grams) % 10 == 0
