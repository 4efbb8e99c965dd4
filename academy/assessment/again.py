"""After a "not yet": when, after which practice, in what scope and by whom the next head is judged.

Source: trade.md 5.5; the figures are the academy's rules. A head is read as `facts` reads it: with
its second mark and ruling, and never once it was withdrawn or overturned.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from django.db.models import Q
from django.utils import timezone

from academy.assessment.again_words import AgainWords
from academy.assessment.editions import edition_of
from academy.assessment.facts import heads_of_many
from academy.assessment.models import ActionPlan, Assessment
from academy.assessment.results import Head, Result
from academy.craft.judging.reassessment import (
    Practised,
    WholeBecause,
    again_after,
    practice_needed,
)
from academy.craft.judging.stored import marking_from
from academy.curriculum.content import PracticeUnit
from academy.curriculum.house import rules_today
from academy.curriculum.models import ModuleVersion, TargetLine
from academy.practice.models import PracticeSession
from academy.practice.queries import COUNTS

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class AgainRules:
    """The academy's figures of trade.md 5.5."""

    days: int
    heads: int
    others: int
    colleague_from: int

    @classmethod
    def of(cls, academy: Academy) -> AgainRules:
        rules = rules_today(academy)

        def figure(what: str) -> int:
            return int(rules.number("judging", what=what))

        return cls(
            days=figure("again_days"),
            heads=figure("again_heads"),
            others=figure("again_others"),
            colleague_from=figure("again_colleague"),
        )


@dataclass(frozen=True)
class AfterNotYet(AgainWords):
    """Where an apprentice stands in a module whose latest decided head, `last`, is "not yet"."""

    last: Assessment

    @property
    def practice_met(self) -> bool:
        return not any(row.missing for row in self.practice)

    @property
    def by_somebody_else(self) -> bool:
        """Whether this follows the third "not yet" (or as many as the rules say)."""
        return self.count >= self.rules.colleague_from

    @property
    def plan_missing(self) -> bool:
        return self.by_somebody_else and self.plan is None

    @property
    def open_now(self) -> bool:
        """Whether the next head may be begun today by an assessor who is not barred."""
        return self.today >= self.earliest and self.practice_met and not self.plan_missing


def after_not_yet(
    academy: Academy, apprentice: Person, version: ModuleVersion
) -> AfterNotYet | None:
    """What the next head in this module has to obey; None where no "not yet" is the latest."""
    found = after_not_yets(academy, apprentice, [version.module_id]).get(version.module_id)
    if found is None or found.version.pk == version.pk:
        return found
    codes = tuple(criterion.code for criterion in edition_of(version).criteria)
    because = (*found.again.whole_because, WholeBecause.EDITION)
    again = replace(found.again, whole_because=because, criteria=codes, choice=(), others=0)
    return replace(found, version=version, again=again)


def after_not_yets(
    academy: Academy, apprentice: Person, modules: Collection[int] | None = None
) -> dict[int, AfterNotYet]:
    """By module id, every module in which the latest decided head is "not yet". Fixed queries."""
    series = _series(academy, apprentice, modules)
    latest = {module: _latest(heads) for module, heads in series.items()}
    open_ones = {module: head for module, head in latest.items() if head is not None}
    if not open_ones:
        return {}
    not_yet = {
        module: [head for head in series[module] if head.result is Result.NOT_YET]
        for module in open_ones
    }
    marks = _marks(head.id for heads in not_yet.values() for head in heads)
    plans = _plans(academy, apprentice, open_ones)
    rules = AgainRules.of(academy)
    last = {module: _first_mark(marks, head) for module, head in open_ones.items()}
    done = _practised(academy, apprentice, last)
    return {
        module: _of_module(
            last[module], not_yet[module], marks, plans.get(module, []), done[module], rules
        )
        for module in open_ones
    }


def _of_module(
    last: Assessment,
    not_yet: list[Head],
    marks: Mapping[int, list[Assessment]],
    plans: list[ActionPlan],
    done: list[Practised],
    rules: AgainRules,
) -> AfterNotYet:
    version = last.module_version
    judged = [marking_from(row.outcome.figures["marking"]) for row in _standing(not_yet[-1], marks)]
    codes = tuple(criterion.code for criterion in edition_of(version).criteria)
    whole = any(plan.whole_module and plan.closed_at is None for plan in plans)
    again = again_after(judged, codes, asked_whole=whole, others=rules.others)
    counts = [plan for plan in plans if _counts_after(plan, last)]
    barred = {
        row.assessor_id: row.assessor.name for head in not_yet for row in _standing(head, marks)
    }
    third = len(not_yet) >= rules.colleague_from
    return AfterNotYet(
        version=version,
        last=last,
        not_yet_on=not_yet[-1].day,
        count=len(not_yet),
        again=again,
        earliest=not_yet[-1].day + timedelta(days=rules.days),
        practice=practice_needed(again.missed, done, heads=rules.heads),
        barred=barred if third else {},
        plan=counts[-1] if counts else None,
        rules=rules,
        today=timezone.localdate(),
    )


def _series(
    academy: Academy, apprentice: Person, modules: Collection[int] | None
) -> dict[int, list[Head]]:
    """The apprentice's heads by module, the oldest first, whatever edition they were on."""
    rows = Assessment.objects.filter(academy=academy, apprentice=apprentice).counting()
    if modules is not None:
        rows = rows.filter(module_version__module__in=modules)
    pairs = rows.order_by().values_list("module_version", "module_version__module").distinct()
    module_of = dict(pairs)
    series: dict[int, list[Head]] = defaultdict(list)
    for (_, version), heads in heads_of_many(academy, [apprentice.pk], module_of).items():
        series[module_of[version]] += heads
    return {
        module: sorted(heads, key=lambda head: (head.day, head.id))
        for module, heads in series.items()
    }


def _latest(heads: list[Head]) -> Head | None:
    """The newest decided head where it is "not yet".

    One under a second look, a ruling or "one more head" is passed over: until it is decided, what
    an earlier "not yet" asks for stays as it is.
    """
    newest = next((head for head in reversed(heads) if head.decided), None)
    return newest if newest is not None and newest.result is Result.NOT_YET else None


def _marks(heads: Iterable[int]) -> dict[int, list[Assessment]]:
    """First and second marks of heads, by the id of the first, the first in front."""
    ids = list(heads)
    rows = (
        Assessment.objects.filter(Q(pk__in=ids) | Q(second_of__in=ids))
        .counting()
        .exclude(kind=Assessment.Kind.STANDARDISATION)
        .select_related("outcome", "assessor", "module_version__module", "ruling")
        .order_by("second_of_id", "pk")
    )
    found: dict[int, list[Assessment]] = defaultdict(list)
    for row in rows:
        found[row.second_of_id or row.pk].append(row)
    return {first: sorted(rows, key=lambda row: row.pk != first) for first, rows in found.items()}


def _first_mark(marks: Mapping[int, list[Assessment]], head: Head) -> Assessment:
    return marks[head.id][0]


def _standing(head: Head, marks: Mapping[int, list[Assessment]]) -> list[Assessment]:
    """The marks that make this head "not yet": both where they agree, else the one ruled for."""
    return [row for row in marks[head.id] if row.outcome.by_marks == Result.NOT_YET.value]


def _counts_after(plan: ActionPlan, last: Assessment) -> bool:
    """Written since the "not yet", or running still."""
    since = last.submitted_at
    return plan.closed_at is None or (since is not None and plan.made_at >= since)


def _plans(
    academy: Academy, apprentice: Person, modules: Iterable[int]
) -> dict[int, list[ActionPlan]]:
    rows = ActionPlan.objects.filter(
        academy=academy, apprentice=apprentice, module_version__module__in=list(modules)
    ).select_related("module_version", "educator")
    found: dict[int, list[ActionPlan]] = defaultdict(list)
    for row in rows.order_by("made_at", "pk"):
        found[row.module_version.module_id].append(row)
    return found


def _practised(
    academy: Academy, apprentice: Person, last: Mapping[int, Assessment]
) -> dict[int, list[Practised]]:
    """Counted sessions begun after each "not yet" was submitted, by module.

    A module that is not practised on whole heads has no "practice head": there a session counts
    as one.
    """
    on_heads = set(
        TargetLine.objects.filter(
            version__in=[row.module_version_id for row in last.values()],
            unit=PracticeUnit.HEADS.value,
        ).values_list("version__module", flat=True)
    )
    sessions = (
        PracticeSession.objects.filter(
            COUNTS, academy=academy, apprentice=apprentice, module_version__module__in=list(last)
        )
        .select_related("module_version")
        .prefetch_related("units")
    )
    found: dict[int, list[Practised]] = {module: [] for module in last}
    for session in sessions:
        module = session.module_version.module_id
        since = last[module].submitted_at
        if since is None or session.started_at < since:
            continue
        heads = sum(u.count for u in session.units.all() if u.unit == PracticeUnit.HEADS.value)
        if module not in on_heads:
            heads = heads or 1
        found[module].append(
            Practised(heads, frozenset(session.criteria), frozenset(session.zones))
        )
    return found
