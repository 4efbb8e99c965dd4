"""An outcome explained step by step, with the figures of this head (trade.md 5.1 and 5.5).

Speaks only of what is stored with the outcome: the marking, the rules it was judged by, and the
exact figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from academy.craft.judging.marking import Criterion, Marking, Scope, SecondCause, missing
from academy.craft.judging.outcome import PARTIAL_STEP, ByMarks, Outcome
from academy.craft.judging.scale import HIGHEST, MET, Rating
from academy.craft.judging.sentences import mark_words, weak_levels
from academy.craft.measure import counted, round_half_up, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

_PLACES: Final = 3
_NO_MARK_STEPS: Final = range(4, 9)
ACADEMY: Final = "academy rule"
AREAS: Final = "zone areas of the training head"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what the rule says, this head's figures, and what follows.

    `decides` is true for the step that gave the result by marks; `applies` is false where the
    step was not computed on this head, and `follows` then says why.
    """

    number: int
    title: str
    rule: str
    source: str
    figures: tuple[str, ...]
    follows: str
    decides: bool = False
    applies: bool = True


_TITLES: Final = {
    1: "Stop event",
    2: "Everything marked",
    3: "Must-pass criteria",
    4: "Weak zone",
    5: "Criterion marks",
    6: "Head mark",
    7: "Pass line",
    8: "Near the line",
    9: "Overall rating",
    10: "Time",
    PARTIAL_STEP: "Every re-judged criterion",
}


def steps(marking: Marking, result: Outcome) -> tuple[Step, ...]:
    """The ten steps in their order; for a partial re-assessment its own rule in place of 4 to 8."""
    numbers = [*range(1, 11)]
    if marking.partial:
        numbers.insert(numbers.index(9), PARTIAL_STEP)
    return tuple(_step(number, marking, result) for number in numbers)


def _step(number: int, marking: Marking, result: Outcome) -> Step:
    rule, source = _rule(number, marking)
    out = _not_computed(number, marking)
    figures = () if out else _FIGURES[number](marking, result)
    decides = result.decided_by == number
    return Step(
        number=number,
        title=_TITLES[number],
        rule=rule,
        source=source,
        figures=tuple(figures),
        follows=out or _follows(number, result, decides=decides),
        decides=decides,
        applies=not out,
    )


def _not_computed(number: int, marking: Marking) -> str:
    if marking.stops and number > 1:
        return "Not computed: a stop event ended the head."
    if marking.partial and number in _NO_MARK_STEPS:
        return "Does not apply: a partial re-assessment has no head mark."
    return ""


def _rule(number: int, marking: Marking) -> tuple[str, str]:
    rules, line = marking.rules, shown(marking.rules.pass_line)
    most = "none" if marking.partial else str(rules.most_left_out)
    over = shown(100 * rules.overtime_share)
    return {
        1: ("A stop event ends the head: not yet. Nothing else is computed.", ACADEMY),
        2: (
            (
                "Every criterion needs a level in every judged zone. Zones that may be left out "
                f"with a reason: {most}; more is not yet."
            ),
            ACADEMY,
        ),
        3: (f"A must-pass criterion reaches {MET:d} in every judged zone.", ACADEMY),
        4: (f"No zone of a zone criterion stands at {weak_levels(rules)}.", ACADEMY),
        5: (
            (
                "A criterion of the head has its level as mark; one judged by zone the mean of its "
                "zones, weighted by their share of the hair."
            ),
            AREAS,
        ),
        6: (f"100 × sum of weight × mark / sum of weight × {HIGHEST:d}.", ACADEMY),
        7: (f"At {line} or above competent, below it not yet.", ACADEMY),
        8: (
            (
                f"Within {shown(rules.near_band)} of {line}, both ends included, a second assessor "
                "looks too."
            ),
            ACADEMY,
        ),
        9: (
            (
                "Competent with rating 1 or 2, or not yet by the pass line with rating 4 or 5: a "
                "second assessor looks too. The rating was given before any sum was shown."
            ),
            ACADEMY,
        ),
        10: (f"More than {over} % over the time allowed is noted; it decides nothing.", ACADEMY),
        PARTIAL_STEP: (
            f"Competent if every re-judged criterion is at {MET:d} or above in every judged zone.",
            ACADEMY,
        ),
    }[number]


def _follows(number: int, result: Outcome, *, decides: bool) -> str:
    if decides:
        words = {ByMarks.COMPETENT: "competent", ByMarks.NOT_YET: "not yet"}
        return f"Decides: {words[result.by_marks]}."
    found = {8: SecondCause.NEAR_LINE, 9: SecondCause.RATING_DIFFERS}.get(number)
    if found in result.causes:
        return "A second assessor looks too."
    steps_said = {reason.step for reason in result.reasons}
    if number in (3, 4, PARTIAL_STEP) and number in steps_said:
        return f"Not met. Step {result.decided_by} had decided."
    if number == 7:
        return f"Step {result.decided_by} had decided."
    return "Noted." if number == 10 and number in steps_said else "Nothing follows."


def _stops(marking: Marking, _: Outcome) -> Iterator[str]:
    yield from (stop.sentence for stop in marking.stops)
    if not marking.stops:
        yield "None was recorded."


def _marked(marking: Marking, _: Outcome) -> Iterator[str]:
    yield f"{counted(len(marking.marks), 'level')} given, {len(missing(marking))} missing."
    words = {zone.code: zone.words for zone in marking.zones}
    for code, reason in marking.left_out.items():
        yield f"Left out: {words[code]}. {reason}"


def _must_pass(marking: Marking, _: Outcome) -> Iterator[str]:
    must = [one for one in marking.criteria if one.must_pass]
    yield from (_levels(marking, one) for one in must)
    if not must:
        yield "None of these criteria is must-pass."


def _zones(marking: Marking, _: Outcome) -> Iterator[str]:
    by_zone = [one for one in marking.criteria if one.scope is Scope.ZONES]
    yield from (_levels(marking, one) for one in by_zone)
    if not by_zone:
        yield "No criterion is judged by zone."


def _all_levels(marking: Marking, _: Outcome) -> Iterator[str]:
    yield from (_levels(marking, one) for one in marking.criteria)


def _levels(marking: Marking, criterion: Criterion) -> str:
    """For example "Coverage: crown 3, nape 1" or "Gloves: 3"."""
    parts = []
    for zone in marking.where(criterion):
        level = marking.level(criterion, zone)
        figure = "–" if level is None else str(int(level))
        parts.append(f"{zone.words} {figure}" if zone else figure)
    return f"{criterion.title}: {', '.join(parts)}"


def _marks(marking: Marking, result: Outcome) -> Iterator[str]:
    marks = {one.code: one.mark for one in result.criterion_marks}
    for criterion in marking.criteria:
        mark = _figure(marks[criterion.code])
        if criterion.scope is Scope.HEAD:
            yield f"{criterion.title}: {mark}"
            continue
        parts = [
            f"{shown(zone.share)} × {int(marking.level(criterion, zone) or 0)}"
            for zone in marking.judged_today
        ]
        whole = shown(sum((zone.share for zone in marking.judged_today), Decimal(0)))
        yield f"{criterion.title}: ({' + '.join(parts)}) / {whole} = {mark}"


def _head_mark(_: Marking, result: Outcome) -> Iterator[str]:
    if result.figures is None:
        return
    parts = [f"{shown(one.weight)} × {_figure(one.mark)}" for one in result.criterion_marks]
    figures = result.figures
    yield f"100 × ({' + '.join(parts)}) / {_figure(figures.most)} = {_figure(figures.head_mark)}"


def _line(marking: Marking, result: Outcome) -> Iterator[str]:
    if result.figures is not None:
        mark = mark_words(result.figures.head_mark, marking.rules)
        yield f"Head mark {mark}, pass line {shown(marking.rules.pass_line)}"


def _near(marking: Marking, result: Outcome) -> Iterator[str]:
    if result.figures is not None:
        figures = result.figures
        mark = mark_words(figures.head_mark, marking.rules)
        yield f"Head mark {mark}, band {shown(figures.near_from)} to {shown(figures.near_to)}"
    if marking.blind_second:
        yield "This is a second mark: it asks for no third."


def _rating(marking: Marking, _: Outcome) -> Iterator[str]:
    if marking.rating is not None:
        rating = Rating(marking.rating)
        yield f"Overall rating {rating:d}, {rating.word}"


def _time(marking: Marking, _: Outcome) -> Iterator[str]:
    used, allowed = marking.minutes_used, marking.minutes_allowed
    if used is None or allowed is None:
        yield "No time was taken, or none is given for the whole work."
        return
    most = allowed * (1 + Fraction(marking.rules.overtime_share))
    yield f"{counted(used, 'minute')} used, {allowed} allowed; a note is made over {_figure(most)}"


_FIGURES: Final = {
    1: _stops,
    2: _marked,
    3: _must_pass,
    4: _zones,
    5: _marks,
    6: _head_mark,
    7: _line,
    8: _near,
    9: _rating,
    10: _time,
    PARTIAL_STEP: _all_levels,
}


def _figure(exact: Fraction) -> str:
    plain = Decimal(exact.numerator) / Decimal(exact.denominator)
    return shown(round_half_up(plain, _PLACES), _PLACES)
