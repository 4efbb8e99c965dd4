"""What the pages of samples show: the promise in words, each decision with why, and progress."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from django.db.models import Prefetch
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.models import SampledDecision, SamplePlan
from academy.assessment.services.sampling import needs_a_look
from academy.assessment.verifying import why_not
from academy.craft.judging.sampling import promise

if TYPE_CHECKING:
    from academy.people.models import Academy, Person


class SamplePage:
    """One batch for one reader, fetched here. At most nine queries."""

    def __init__(self, plan: SamplePlan, reader: Person | None = None) -> None:
        self.plan, self.reader = plan, reader

    @cached_property
    def decisions(self) -> list[SampledDecision]:
        """What is looked at first, then the others; each in the order of signing."""
        rows = (
            self.plan.decisions.select_related(
                "added",
                "sign_off__apprentice",
                "sign_off__assessor",
                "sign_off__module_version__module",
            )
            .prefetch_related(
                "sign_off__verifications",
                "sign_off__named_verifiers__verifier",
                *(f"sign_off__{part}" for part in rules.PARTS),
            )
            .order_by("sign_off__signed_at", "pk")
        )
        return sorted(rows, key=lambda row: not row.drawn)

    @property
    def rows(self) -> list[tuple[SampledDecision, str, str]]:
        """Each decision with how it stands, and why the reader may not look (empty: may)."""
        return [(row, self._state(row), self._why_not(row)) for row in self.decisions]

    @property
    def promise(self) -> str:
        """The promise in words, for the part drawn at random; empty on old batches."""
        plan = self.plan
        if plan.rate is None or plan.confidence is None or plan.population is None:
            return ""
        return promise(plan.population, plan.rate, plan.confidence)

    @cached_property
    def own(self) -> bool:
        """Whether the reader had a part in one of them, so that another verifier closes."""
        who = self.reader
        return who is not None and any(
            rules.had_a_part(who, row.sign_off) for row in self.decisions
        )

    @property
    def looked(self) -> int:
        return sum(row.drawn and not needs_a_look(row) for row in self.decisions)

    @property
    def to_look(self) -> int:
        return sum(row.drawn for row in self.decisions)

    @property
    def open(self) -> int:
        return self.to_look - self.looked

    @property
    def counts(self) -> list[tuple[str, int]]:
        """How many are looked at for each reason."""
        found: dict[str, int] = {}
        for row in self.decisions:
            if row.drawn:
                found[row.why_words] = found.get(row.why_words, 0) + 1
        return list(found.items())

    @property
    def table(self) -> list[list[object]]:
        """For a spreadsheet, one heading row first."""
        head = ["signed on", "apprentice", "module", "signed by", "why looked at", "result"]
        rows: list[list[object]] = [list(head)]
        rows += [
            [
                timezone.localdate(row.sign_off.signed_at).isoformat(),
                row.sign_off.apprentice.name,
                row.sign_off.module_version.title,
                row.sign_off.assessor.name,
                row.why_words,
                self._state(row),
            ]
            for row in self.decisions
        ]
        return rows

    def _state(self, row: SampledDecision) -> str:
        newest = next(iter(row.sign_off.verifications.all()), None)
        if newest is not None:
            return str(newest.get_result_display())
        return "to be looked at" if row.drawn else "not drawn"

    def _why_not(self, row: SampledDecision) -> str:
        if self.reader is None or not needs_a_look(row):
            return ""
        return why_not(self.reader, row.sign_off)


def in_list(academy: Academy) -> list[tuple[SamplePlan, int, int]]:
    """Every batch, newest first, with how many are to be looked at and how many still open."""
    plans = (
        SamplePlan.objects.filter(academy=academy)
        .select_related("made_by")
        .prefetch_related(
            Prefetch("decisions", SampledDecision.objects.select_related("added")),
            "decisions__sign_off__verifications",
        )
        .order_by("-made_at", "-pk")
    )
    found = []
    for plan in plans:
        drawn = [row for row in plan.decisions.all() if row.drawn]
        found.append((plan, len(drawn), sum(needs_a_look(row) for row in drawn)))
    return found
