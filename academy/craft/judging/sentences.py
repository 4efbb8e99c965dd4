"""The reasons of an outcome as sentences, each with its step of trade.md 5.1 and a stable code."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from academy.craft.judging.scale import MET, Level, Rating
from academy.craft.measure import counted, round_half_up, shown

if TYPE_CHECKING:
    from academy.craft.judging.marking import Criterion, JudgedZone, Marking, OutcomeRules, Stop

# Not one of the ten: what decides a partial re-assessment, which has no steps 4 to 8.
PARTIAL_STEP: Final = 11
_MOST_PLACES: Final = 9


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason; `criterion` and `zone` name the place it speaks of, where there is one."""

    step: int
    code: str
    sentence: str
    criterion: str | None = None
    zone: str | None = None


def stopped(stop: Stop) -> Reason:
    return Reason(1, "stopped", f"Stopped for safety. {stop.sentence}")


def left_out(marking: Marking) -> list[Reason]:
    """One reason for each zone left out, and one more where they are too many."""
    reasons = [
        Reason(
            2,
            "left_out",
            f"{_first_up(zone.words)} was not covered today: {_ended(marking.left_out[zone.code])}",
            zone=zone.code,
        )
        for zone in marking.zones
        if zone.code in marking.left_out
    ]
    most = marking.rules.most_left_out
    if len(reasons) > most:
        allowed = "none" if most == 0 else f"at most {most}"
        left = counted(len(reasons), "zone")
        sentence = f"{left} were left out; {allowed} may be. Assess the head again, whole."
        reasons.append(Reason(2, "too_many_left_out", sentence))
    return reasons


def partial_left_out(marking: Marking) -> list[Reason]:
    """The zones left out of a partial re-assessment, which covers every judged zone."""
    left = [reason for reason in left_out(marking) if reason.code == "left_out"]
    if left:
        sentence = "A partial re-assessment covers every judged zone. Assess the head again, whole."
        left.append(Reason(2, "too_many_left_out", sentence))
    return left


def partial_missed(criterion: Criterion, zone: JudgedZone | None, level: Level) -> Reason:
    sentence = (
        f"{criterion.title} is at {level:d}{_in(zone)}; in a partial re-assessment every "
        f"criterion must reach {MET:d}."
    )
    return Reason(
        PARTIAL_STEP, "partial_missed", sentence, criterion.code, zone.code if zone else None
    )


def partial_met(marking: Marking) -> Reason:
    judged = ", ".join(criterion.title for criterion in marking.criteria)
    sentence = (
        f"Partial re-assessment of {judged}: {MET:d} or above everywhere. There is no head mark."
    )
    return Reason(PARTIAL_STEP, "partial_met", sentence)


def must_pass(criterion: Criterion, zone: JudgedZone | None, level: Level) -> Reason:
    sentence = f"{criterion.title} must reach {MET:d}: it is at {level:d}{_in(zone)}."
    return Reason(3, "must_pass", sentence, criterion.code, zone.code if zone else None)


def weak_zone(criterion: Criterion, zone: JudgedZone, level: Level, rules: OutcomeRules) -> Reason:
    rule = f"no zone may stand at {weak_levels(rules)}"
    sentence = f"{criterion.title} is at {level:d}{_in(zone)}; {rule}."
    return Reason(4, "weak_zone", sentence, criterion.code, zone.code)


def weak_levels(rules: OutcomeRules) -> str:
    """The levels at which a zone is weak: "0", "0 or 1", "0, 1 or 2"."""
    *before, last = (str(level) for level in range(rules.weak_zone + 1))
    return f"{', '.join(before)} or {last}" if before else last


def head_mark(exact: Fraction, marking: Marking, *, reached: bool, near: bool) -> list[Reason]:
    """The head mark, how it stands to the pass line, and whether it lies near it."""
    rules = marking.rules
    mark = mark_words(exact, rules)
    line = shown(rules.pass_line)
    code, how = ("reached", "reaches") if reached else ("below", "is below")
    reasons = [
        Reason(6, "head_mark", f"The head mark is {mark} of 100."),
        Reason(7, code, f"{mark} {how} the pass line of {line}."),
    ]
    if near:
        band = counted(rules.near_band, "point")
        sentence = f"{mark} lies within {band} of the pass line{_second(marking)}"
        reasons.append(Reason(8, "near_line", sentence))
    return reasons


def rating_differs(marking: Marking, *, competent: bool) -> Reason:
    marks = "competent" if competent else "not yet"
    rating = Rating(marking.rating or 0)
    sentence = (
        f"By the marks it is {marks}, but the overall rating is {rating:d}, "
        f"{rating.word}{_second(marking)}"
    )
    return Reason(9, "rating_differs", sentence)


def pace(marking: Marking) -> Reason:
    percent = shown(100 * marking.rules.overtime_share)
    sentence = (
        f"Pace: {counted(marking.minutes_used or 0, 'minute')} used, {marking.minutes_allowed} "
        f"allowed, more than {percent} % over. This alone decides nothing."
    )
    return Reason(10, "pace", sentence)


def mark_words(exact: Fraction, rules: OutcomeRules) -> str:
    """The mark with one decimal, or with as many more as keep it on its side of every border."""
    line, band = Fraction(rules.pass_line), Fraction(rules.near_band)
    borders = (line - band, line, line + band)
    plain = Decimal(exact.numerator) / Decimal(exact.denominator)
    for places in range(1, _MOST_PLACES + 1):
        figure = round_half_up(plain, places)
        if all(_side(Fraction(figure), border) == _side(exact, border) for border in borders):
            return shown(figure, places)
    return f"{exact.numerator}/{exact.denominator}"


def _side(value: Fraction, border: Fraction) -> int:
    return (value > border) - (value < border)


def _second(marking: Marking) -> str:
    return "." if marking.blind_second else ": a second assessor looks too."


def _in(zone: JudgedZone | None) -> str:
    return f" in the {zone.words} zone" if zone else ""


def _ended(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]
