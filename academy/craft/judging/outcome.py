"""From marks to an outcome, with every reason, by the ten steps of trade.md 5.1.

All comparisons are exact fractions; figures are rounded only to be shown, and never so that a
mark under the line looks like one at it. `figures` of the outcome hold the exact values.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from academy.craft.judging import sentences
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    Scope,
    SecondCause,
    missing,
)
from academy.craft.judging.scale import HIGHEST, MET, Level, Rating
from academy.craft.measure import round_half_up

if TYPE_CHECKING:
    from academy.craft.judging.sentences import Reason

# Rises when the steps change or the words of a reason: both are stored. What was here before goes
# on under its old number in `stored.VERSIONS`, so that an old outcome is recomputed as it was
# computed. A test holds the bytes of each version.
OUTCOME_VERSION: Final = 1
# Stands where steps 4 to 8 do not apply: a partial re-assessment (trade.md 5.5).
PARTIAL_STEP: Final = sentences.PARTIAL_STEP
_STORED_PLACES: Final = 3
_BY_STOP: Final = frozenset({SecondCause.REQUEST, SecondCause.APPEAL})


class ByMarks(StrEnum):
    """What the marks come to."""

    COMPETENT = "competent"
    NOT_YET = "not_yet"


class Shown(StrEnum):
    """What is shown of an assessment and its second mark."""

    COMPETENT = "competent"
    NOT_YET = "not_yet"
    SECOND = "second"
    RULING = "ruling"


@dataclass(frozen=True, slots=True)
class CriterionMark:
    """A criterion's mark from 0 to 4, exact, and the weight it counts with."""

    code: str
    mark: Fraction
    weight: Decimal


@dataclass(frozen=True, slots=True)
class Figures:
    """The exact figures behind a head mark: 100 x `reached` / `most`.

    `zone_shares` are the shares of the zones judged today and sum to 1. `near_from` and
    `near_to` are the ends of the band around the pass line; both ends belong to it.
    """

    zone_shares: tuple[tuple[str, Fraction], ...]
    criterion_marks: tuple[CriterionMark, ...]
    reached: Fraction
    most: Fraction
    head_mark: Fraction
    near_from: Decimal
    near_to: Decimal


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was decided and why.

    `decided_by` is the step of trade.md 5.1 that gave `by_marks`, or `PARTIAL_STEP`. `head_mark` is
    rounded to three decimals for storing and never across the pass line; it and `figures` are None
    after a stop and for a partial re-assessment.
    """

    by_marks: ByMarks
    decided_by: int
    causes: tuple[SecondCause, ...]
    reasons: tuple[Reason, ...]
    head_mark: Decimal | None = None
    figures: Figures | None = None

    @property
    def second_needed(self) -> bool:
        """Whether a second assessor must look, whatever the marks say."""
        return bool(self.causes)

    @property
    def criterion_marks(self) -> tuple[CriterionMark, ...]:
        """Each criterion's mark; empty after a stop."""
        return self.figures.criterion_marks if self.figures else ()

    def shown(self, second: Outcome | None = None) -> Shown:
        """What people see, given the second mark once it is submitted.

        Only the two `by_marks` are compared (trade.md 5.2): the same stands, different needs a
        verifier's ruling.
        """
        if second is None:
            return Shown.SECOND if self.second_needed else Shown(self.by_marks.value)
        if second.by_marks is not self.by_marks:
            return Shown.RULING
        return Shown(self.by_marks.value)


def outcome(marking: Marking) -> Outcome:
    """Decide; `JudgingError` while a level or the overall rating is missing."""
    if marking.stops:
        return _stopped(marking)
    _refuse_unmarked(marking)
    if marking.partial:
        return _partial(marking)
    figures = _figures(marking)
    rules = marking.rules
    line = Fraction(rules.pass_line)
    reached = figures.head_mark >= line
    deciding = {
        2: sentences.left_out(marking),
        3: _must_pass(marking),
        4: _weak_zones(marking),
    }
    failed = [step for step in (3, 4) if deciding[step]]
    if len(marking.left_out) > rules.most_left_out:
        failed.insert(0, 2)
    decided_by = failed[0] if failed else 7
    competent = not failed and reached
    near = abs(figures.head_mark - line) <= Fraction(rules.near_band)
    differs = _rating_differs(marking, competent=competent, decided_by=decided_by)
    reasons = [reason for step in (2, 3, 4) for reason in deciding[step]]
    reasons += sentences.head_mark(figures.head_mark, marking, reached=reached, near=near)
    if differs:
        reasons.append(sentences.rating_differs(marking, competent=competent))
    if _over_time(marking):
        reasons.append(sentences.pace(marking))
    return Outcome(
        by_marks=ByMarks.COMPETENT if competent else ByMarks.NOT_YET,
        decided_by=decided_by,
        causes=_causes(marking, near=near, differs=differs),
        reasons=tuple(reasons),
        head_mark=_stored(figures.head_mark, rules.pass_line),
        figures=figures,
    )


def _stopped(marking: Marking) -> Outcome:
    return Outcome(
        by_marks=ByMarks.NOT_YET,
        decided_by=1,
        causes=_in_order(marking.asked_for & _BY_STOP),
        reasons=tuple(sentences.stopped(stop) for stop in marking.stops),
    )


def _partial(marking: Marking) -> Outcome:
    """Competent if every re-judged criterion is at 3 or above in every judged zone.

    Steps 4 to 8 do not apply: there is no head mark, and so no pass line to be near.
    """
    must_pass = _must_pass(marking)
    under = [
        sentences.partial_missed(criterion, zone, level)
        for criterion, zone, level in _levels(marking)
        if level < MET and not criterion.must_pass
    ]
    competent = not (marking.left_out or must_pass or under)
    decided_by = 2 if marking.left_out else 3 if must_pass else PARTIAL_STEP
    differs = _rating_differs(marking, competent=competent, decided_by=decided_by)
    reasons = [*sentences.partial_left_out(marking), *must_pass, *under]
    if competent:
        reasons.append(sentences.partial_met(marking))
    if differs:
        reasons.append(sentences.rating_differs(marking, competent=competent))
    if _over_time(marking):
        reasons.append(sentences.pace(marking))
    return Outcome(
        by_marks=ByMarks.COMPETENT if competent else ByMarks.NOT_YET,
        decided_by=decided_by,
        causes=_causes(marking, near=False, differs=differs),
        reasons=tuple(reasons),
    )


def _refuse_unmarked(marking: Marking) -> None:
    gaps = missing(marking)
    if gaps:
        titles = {criterion.code: criterion.title for criterion in marking.criteria}
        words = {zone.code: zone.words for zone in marking.zones}
        where = (f"{titles[code]}, {words[zone]}" if zone else titles[code] for code, zone in gaps)
        raise JudgingError(f"Still without a level: {'; '.join(where)}.")
    if marking.rating is None:
        raise JudgingError("Give the overall rating, 1 to 5, before the marks are added up.")


def _must_pass(marking: Marking) -> list[Reason]:
    return [
        sentences.must_pass(criterion, zone, level)
        for criterion, zone, level in _levels(marking)
        if criterion.must_pass and level < MET
    ]


def _weak_zones(marking: Marking) -> list[Reason]:
    return [
        sentences.weak_zone(criterion, zone, level, marking.rules)
        for criterion, zone, level in _levels(marking)
        if zone is not None and level <= marking.rules.weak_zone
    ]


def _levels(marking: Marking) -> list[tuple[Criterion, JudgedZone | None, Level]]:
    levels = [(one, zone, marking.level(one, zone)) for one, zone in marking.places()]
    return [(one, zone, level) for one, zone, level in levels if level is not None]


def _figures(marking: Marking) -> Figures:
    today = marking.judged_today
    whole = sum((Fraction(zone.share) for zone in today), Fraction(0))
    shares = {zone.code: Fraction(zone.share) / whole for zone in today}
    sums: dict[str, Fraction] = {}
    for criterion, zone, level in _levels(marking):
        part = shares[zone.code] if zone else Fraction(1)
        sums[criterion.code] = sums.get(criterion.code, Fraction(0)) + part * level
    marks = tuple(
        CriterionMark(criterion.code, sums[criterion.code], criterion.weight)
        for criterion in marking.criteria
    )
    reached = sum((Fraction(one.weight) * one.mark for one in marks), Fraction(0))
    most = sum((Fraction(one.weight) * HIGHEST for one in marks), Fraction(0))
    by_zone = any(criterion.scope is Scope.ZONES for criterion in marking.criteria)
    return Figures(
        zone_shares=tuple(shares.items()) if by_zone else (),
        criterion_marks=marks,
        reached=reached,
        most=most,
        head_mark=100 * reached / most,
        near_from=marking.rules.pass_line - marking.rules.near_band,
        near_to=marking.rules.pass_line + marking.rules.near_band,
    )


def _rating_differs(marking: Marking, *, competent: bool, decided_by: int) -> bool:
    if competent:
        return marking.rating in (Rating.CLEARLY_NOT_YET, Rating.JUST_BELOW)
    return decided_by == 7 and marking.rating in (Rating.SOUND, Rating.VERY_GOOD)


def _over_time(marking: Marking) -> bool:
    used, allowed = marking.minutes_used, marking.minutes_allowed
    if used is None or allowed is None:
        return False
    return used > allowed * (1 + Fraction(marking.rules.overtime_share))


def _causes(marking: Marking, *, near: bool, differs: bool) -> tuple[SecondCause, ...]:
    found = set(marking.asked_for)
    # A second mark's own closeness asks for no third.
    if near and not marking.blind_second:
        found.add(SecondCause.NEAR_LINE)
    if differs and not marking.blind_second:
        found.add(SecondCause.RATING_DIFFERS)
    return _in_order(found)


def _in_order(causes: frozenset[SecondCause] | set[SecondCause]) -> tuple[SecondCause, ...]:
    return tuple(cause for cause in SecondCause if cause in causes)


def _stored(exact: Fraction, pass_line: Decimal) -> Decimal:
    plain = Decimal(exact.numerator) / Decimal(exact.denominator)
    rounded = round_half_up(plain, _STORED_PLACES)
    if (rounded >= pass_line) == (exact >= Fraction(pass_line)):
        return rounded
    down = exact.numerator * 10**_STORED_PLACES // exact.denominator
    return Decimal(down).scaleb(-_STORED_PLACES)
