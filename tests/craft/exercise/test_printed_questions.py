"""What a reader of any question can rely on: sums that add up, every deciding label in print."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest

from academy.craft.exercise.engine import (
    Level,
    Question,
    draw,
    families,
    family_of,
    has_picture,
    made_from_a_module,
)
from academy.craft.measure import round_half_up, shown
from academy.craft.rules import DecidedBy, Label, Rules, standard_rules
from tests.craft.exercise.test_every_family import CASES, MODULE, drawn

D = Decimal
BOOK = standard_rules()
LEVELS = [
    pytest.param(family.key, level, id=f"{family.key}-{level}")
    for family in families()
    for level in Level
]

_UNITS = re.compile(r"(?<=[\d)]) (?:g|cm²|cm|mm|vol|foils?|h|min)\b|(?<=\d) %")
_TIME = re.compile(r"(\d\d):(\d\d)")
_FIGURE = re.compile(r"(−?\d+(?:\.\d+)?)(?: (?:g|cm²|cm|mm|%|h|min|parts?|depths?))?")
_SUM = re.compile(r"[\d\s.+\-*/()]+")


def worked_out(node: ast.expr) -> Fraction:
    if isinstance(node, ast.Constant):
        return Fraction(str(node.value))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return -worked_out(node.operand)
    assert isinstance(node, ast.BinOp)
    left, right = worked_out(node.left), worked_out(node.right)
    if isinstance(node.op, ast.Add):
        return left + right
    if isinstance(node.op, ast.Sub):
        return left - right
    return left * right if isinstance(node.op, ast.Mult) else left / right


def value_of(printed: str) -> Fraction | None:
    """A sum in figures and signs, worked out; None where it holds words."""
    plain = _UNITS.sub("", printed)
    plain = _TIME.sub(lambda at: str(int(at[1]) * 60 + int(at[2])), plain)
    for sign, other in (("×", "*"), ("÷", "/"), ("−", "-")):
        plain = plain.replace(sign, other)
    if not _SUM.fullmatch(plain):
        return None
    return worked_out(ast.parse(plain.strip(), mode="eval").body)


def figure_of(printed: str) -> tuple[Decimal, int] | None:
    """A printed result and its decimals; None where it is in words."""
    if time := _TIME.fullmatch(printed):
        return D(int(time[1]) * 60 + int(time[2])), 0
    found = _FIGURE.fullmatch(printed)
    if found is None:
        return None
    figure = found[1].replace("−", "-")
    return D(figure), len(figure.partition(".")[2])


def sums_in(question: Question) -> list[tuple[str, Fraction, Decimal, int]]:
    found = []
    for line in question.solution:
        printed = [*line.sum.split(" = "), line.result]
        for sum_, result in pairwise(printed):
            value, figure = value_of(sum_), figure_of(result)
            # "41.3 g, up to a multiple of 4 g": what follows a rounding is told in the words.
            rounded = "multiple" in line.words or "whole ones" in line.words
            if value is not None and figure is not None and not (rounded and sum_ != printed[0]):
                found.append((f"{sum_} = {result}", value, *figure))
    return found


@pytest.mark.parametrize(("family", "level", "house"), CASES)
def test_the_printed_sums_add_up_to_the_printed_results(
    family: str, level: Level, house: str
) -> None:
    for question in drawn(family, level, house)[:60]:
        for printed, value, figure, places in sums_in(question):
            exact = D(value.numerator) / value.denominator
            assert round_half_up(exact, places) == figure, (question.identity, printed)


def test_all_families_of_sums_were_looked_at() -> None:
    without = {
        family.key
        for family in families()
        if not any(sums_in(q) for q in drawn(family.key, Level.WORKING, "standard")[:20])
    }
    assert without == {"order-of-steps", "eye-depth", "eye-corners"}


LABELS = [
    Label(
        "House cream",
        "permanent",
        ratios=(D("1.2"),),
        strengths=(D(6),),
        minutes=D(38),
        minutes_resistant=D(42),
        ceiling=D(48),
        skin_test_hours=D(72),
        white_bands={"normal.40": D(61), "resistant.40": D(81)},
    ),
    Label("House quasi", "quasi", ratios=(D("1.8"),), strengths=(D("2.5"),), skin_test_hours=D(61)),
    Label("House gloss", "gloss", strengths=(D("1.7"),), ceiling=D(13)),
    Label(
        "House powder",
        "lightener_foils",
        ratios=(D("1.8"),),
        strengths=(D(4),),
        top_strength=D(5),
        ceiling=D(41),
    ),
    Label("House scalp", "lightener_scalp", ratios=(D("1.7"),), top_strength=D(4), ceiling=D(34)),
]


def in_print(question: Question) -> str:
    givens = (f"{row.label} {row.value} {row.unit}" for row in question.givens)
    return " | ".join((question.text, *givens))


@pytest.mark.parametrize("label", LABELS, ids=lambda label: label.name)
@pytest.mark.parametrize(("family", "level"), LEVELS)
def test_whatever_a_label_decides_is_printed(family: str, level: Level, label: Label) -> None:
    material = MODULE if made_from_a_module(family_of(family)) else None
    for seed in range(25):
        question = draw(family, level, seed, Rules(BOOK, {}, label, 1), material=material)
        for decided in question.decided:
            if decided.decided_by is DecidedBy.LABEL:
                value = re.escape(shown(decided.number))
                alone = re.compile(rf"(?<![\d.]){value}(?![\d.]*\d)")
                assert alone.search(in_print(question)), (decided.rule_key, question.identity)


@pytest.mark.parametrize(
    ("family", "level"),
    [
        pytest.param(family.key, level, id=f"{family.key}-{level}")
        for family in families()
        for level in Level
        # A picture tells its questions apart.
        if not has_picture(family)
    ],
)
def test_two_questions_never_look_alike(family: str, level: Level) -> None:
    looks: dict[object, set[str]] = defaultdict(set)
    for question in drawn(family, level, "standard"):
        choices = tuple(field.choices for field in question.fields)
        looks[question.text, question.givens, choices].add(question.identity)
    assert all(len(same) == 1 for same in looks.values())
