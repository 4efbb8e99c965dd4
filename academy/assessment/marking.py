"""From the rows of an assessment to what `craft.judging` decides with, and back."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from academy.assessment.editions import edition_for, edition_of, scope_of
from academy.assessment.models import Assessment
from academy.craft.head.shape import TRAINING_HEAD
from academy.craft.head.zones import Zone, zones_of
from academy.craft.judging.marking import (
    Criterion as JudgedCriterion,
    JudgedZone,
    Marking,
    OutcomeRules,
    Scope,
    SecondCause,
    Stop,
)
from academy.curriculum.house import rules_of
from academy.curriculum.reference import stop_events

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.curriculum.models import Criterion, ModuleVersion, RuleSet


@cache
def zone_shares() -> dict[Zone, Decimal]:
    """Each zone's share of the hair on the training head, in percent with one decimal."""
    shares = zones_of(TRAINING_HEAD).shares
    return {zone: Decimal(str(round(100 * share, 1))) for zone, share in shares.items()}


def judged_zones(version: ModuleVersion) -> tuple[JudgedZone, ...]:
    """The zones judged in this edition, in the order of the head sheet."""
    shares = zone_shares()
    judged = edition_of(version).judged
    return tuple(JudgedZone(zone.value, zone.words, shares[zone]) for zone in judged)


def outcome_rules(rule_set: RuleSet | None) -> OutcomeRules:
    """Pass line, band, overtime and what a weak zone is, from the house rules."""
    rules = rules_of(rule_set)
    return OutcomeRules(
        pass_line=rules.number("judging", what="pass_line"),
        near_band=rules.number("judging", what="near_band"),
        overtime_share=rules.number("judging", what="over_time_percent") / 100,
        most_left_out=int(rules.number("judging", what="uncovered_zones")),
        weak_zone=int(rules.number("judging", what="weak_zone")),
    )


def judged_criteria(criteria: Iterable[Criterion]) -> tuple[JudgedCriterion, ...]:
    return tuple(
        JudgedCriterion(
            code=row.code,
            title=row.title,
            scope=Scope(row.scope),
            must_pass=row.must_pass,
            weight=Decimal(row.weight),
        )
        for row in criteria
    )


def marking_of(assessment: Assessment, asked_for: Sequence[SecondCause] = ()) -> Marking:
    """The assessment's marks as they stand. `for_scoring` brings all that this reads.

    Raises `JudgingError` where the rows contradict each other.
    """
    version = assessment.module_version
    criteria = edition_for(assessment).criteria
    codes = {criterion.pk: criterion.code for criterion in criteria}
    stops = {event.id: event.text for event in stop_events()}
    stop = getattr(assessment, "stop_event", None)
    return Marking(
        criteria=judged_criteria(criteria),
        zones=judged_zones(version),
        marks={
            (codes[mark.criterion_id], mark.zone or None): mark.level
            for mark in assessment.marks.all()
        },
        rating=assessment.overall,
        left_out={row.zone: row.reason for row in assessment.zones_left_out.all()},
        stops=(Stop(stop.event, stops[stop.event]),) if stop else (),
        minutes_used=assessment.minutes_used,
        minutes_allowed=minutes_allowed(version),
        asked_for=frozenset(asked_for),
        blind_second=assessment.kind != Assessment.Kind.FIRST,
        partial=bool(scope_of(assessment)),
        rules=outcome_rules(assessment.rule_set),
    )


def minutes_allowed(version: ModuleVersion) -> int | None:
    """Minutes for the whole work; None where the time is for one foil, check or plan."""
    return round(version.time_minutes) if version.time_per == "work" else None
