"""An outcome and what it came from as plain JSON values, so that it can be computed again.

Decimals are strings and fractions are "a/b", so the same marking always gives the same bytes.
Keep `stored(marking, outcome(marking))` with the row; years later `marking_from(…["marking"])`
gives the marking back, and `recomputed(…)` says whether it still comes to the same.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    OutcomeRules,
    Scope,
    SecondCause,
    Stop,
)
from academy.craft.judging.outcome import (
    OUTCOME_VERSION,
    ByMarks,
    CriterionMark,
    Figures,
    Outcome,
    outcome,
)
from academy.craft.judging.scale import WEAK_ZONE
from academy.craft.judging.sentences import Reason

if TYPE_CHECKING:
    from collections.abc import Callable

Values: TypeAlias = dict[str, Any]


def stored(marking: Marking, result: Outcome) -> Values:
    """Everything to keep with the row: the version of the steps, what went in, what came out."""
    return {
        "version": OUTCOME_VERSION,
        "marking": marking_values(marking),
        "outcome": outcome_values(result),
    }


def recomputed(values: Values) -> Values:
    """The stored values as the steps of their version give them; equal unless they were changed."""
    version = values.get("version")
    decide = VERSIONS.get(version) if isinstance(version, int) else None
    if version is None or decide is None:
        raise JudgingError(
            f"This outcome was computed by version {version} of the steps, which is not known "
            f"here: {', '.join(str(known) for known in sorted(VERSIONS))}."
        )
    return {"version": int(version), **decide(values["marking"])}


def marking_values(marking: Marking) -> Values:
    """A marking as JSON values; the marks in the order of the criteria and zones."""
    rules = marking.rules
    # Named only where it holds, so that outcomes stored before there were partial ones keep
    # their bytes.
    partial = {"partial": True} if marking.partial else {}
    # Named only where it is another one, for the same reason.
    weak = {} if rules.weak_zone == WEAK_ZONE else {"weak_zone": rules.weak_zone}
    return {
        **partial,
        "criteria": [
            {
                "code": one.code,
                "title": one.title,
                "scope": one.scope.value,
                "must_pass": one.must_pass,
                "weight": str(one.weight),
            }
            for one in marking.criteria
        ],
        "zones": [
            {"code": zone.code, "words": zone.words, "share": str(zone.share)}
            for zone in marking.zones
        ],
        "marks": [
            [one.code, zone.code if zone else None, int(level)]
            for one, zone in marking.places()
            if (level := marking.level(one, zone)) is not None
        ],
        "rating": None if marking.rating is None else int(marking.rating),
        "left_out": dict(sorted(marking.left_out.items())),
        "stops": [{"code": stop.code, "sentence": stop.sentence} for stop in marking.stops],
        "minutes_used": marking.minutes_used,
        "minutes_allowed": marking.minutes_allowed,
        "asked_for": sorted(marking.asked_for),
        "blind_second": marking.blind_second,
        "rules": {
            "pass_line": str(rules.pass_line),
            "near_band": str(rules.near_band),
            "overtime_share": str(rules.overtime_share),
            "most_left_out": rules.most_left_out,
            **weak,
        },
    }


def marking_from(values: Values) -> Marking:
    """The marking that `marking_values` gave; `JudgingError` where it is none."""
    try:
        rules = values["rules"]
        return Marking(
            criteria=tuple(
                Criterion(
                    code=one["code"],
                    title=one["title"],
                    scope=Scope(one["scope"]),
                    must_pass=one["must_pass"],
                    weight=Decimal(one["weight"]),
                )
                for one in values["criteria"]
            ),
            zones=tuple(
                JudgedZone(zone["code"], zone["words"], Decimal(zone["share"]))
                for zone in values["zones"]
            ),
            marks={(code, zone): level for code, zone, level in values["marks"]},
            rating=values["rating"],
            left_out=values["left_out"],
            stops=tuple(Stop(stop["code"], stop["sentence"]) for stop in values["stops"]),
            minutes_used=values["minutes_used"],
            minutes_allowed=values["minutes_allowed"],
            asked_for=frozenset(SecondCause(cause) for cause in values["asked_for"]),
            blind_second=values["blind_second"],
            partial=values.get("partial", False),
            rules=OutcomeRules(
                pass_line=Decimal(rules["pass_line"]),
                near_band=Decimal(rules["near_band"]),
                overtime_share=Decimal(rules["overtime_share"]),
                most_left_out=rules["most_left_out"],
                weak_zone=rules.get("weak_zone", WEAK_ZONE),
            ),
        )
    except (KeyError, TypeError, ArithmeticError) as error:
        raise JudgingError(f"These values are no stored marking: {error!r}.") from error


def _decided(values: Values) -> Values:
    """What is stored of a marking and of what it comes to by the steps of today."""
    marking = marking_from(values)
    return {"marking": marking_values(marking), "outcome": outcome_values(outcome(marking))}


# Every version of the steps that an outcome was ever stored with. Before `OUTCOME_VERSION` rises,
# the files that decide (marking, scale, outcome, sentences, stored) are copied into a folder of
# their own, `was_<number>`, whose `_decided` stands here under the old number from then on.
VERSIONS: Final[dict[int, Callable[[Values], Values]]] = {OUTCOME_VERSION: _decided}


def outcome_values(result: Outcome) -> Values:
    """An outcome as JSON values."""
    return {
        "by_marks": result.by_marks.value,
        "decided_by": result.decided_by,
        "causes": [cause.value for cause in result.causes],
        "reasons": [reason_values(reason) for reason in result.reasons],
        "head_mark": None if result.head_mark is None else str(result.head_mark),
        "figures": None if result.figures is None else _figures_values(result.figures),
    }


def outcome_from(values: Values) -> Outcome:
    """The outcome that `outcome_values` gave."""
    try:
        mark, figures = values["head_mark"], values["figures"]
        return Outcome(
            by_marks=ByMarks(values["by_marks"]),
            decided_by=values["decided_by"],
            causes=tuple(SecondCause(cause) for cause in values["causes"]),
            reasons=tuple(Reason(**reason) for reason in values["reasons"]),
            head_mark=None if mark is None else Decimal(mark),
            figures=None if figures is None else _figures_from(figures),
        )
    except (KeyError, TypeError, ArithmeticError) as error:
        raise JudgingError(f"These values are no stored outcome: {error!r}.") from error


def reason_values(reason: Reason) -> Values:
    """A reason as JSON values."""
    return {
        "step": reason.step,
        "code": reason.code,
        "sentence": reason.sentence,
        "criterion": reason.criterion,
        "zone": reason.zone,
    }


def _figures_values(figures: Figures) -> Values:
    return {
        "zone_shares": [[zone, str(share)] for zone, share in figures.zone_shares],
        "criterion_marks": [
            {"code": one.code, "mark": str(one.mark), "weight": str(one.weight)}
            for one in figures.criterion_marks
        ],
        "reached": str(figures.reached),
        "most": str(figures.most),
        "head_mark": str(figures.head_mark),
        "near_from": str(figures.near_from),
        "near_to": str(figures.near_to),
    }


def _figures_from(values: Values) -> Figures:
    return Figures(
        zone_shares=tuple((zone, Fraction(share)) for zone, share in values["zone_shares"]),
        criterion_marks=tuple(
            CriterionMark(one["code"], Fraction(one["mark"]), Decimal(one["weight"]))
            for one in values["criterion_marks"]
        ),
        reached=Fraction(values["reached"]),
        most=Fraction(values["most"]),
        head_mark=Fraction(values["head_mark"]),
        near_from=Decimal(values["near_from"]),
        near_to=Decimal(values["near_to"]),
    )
