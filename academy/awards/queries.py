"""Which awards are complete, for whom, and what is still missing."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.models import SignOff, SignOffAssessment, Verification
from academy.awards.models import Certificate
from academy.awards.state import Happened, Standing, State, standing
from academy.craft.measure import counted
from academy.curriculum.models import Award, ModuleVersion
from academy.web.days import written

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from academy.people.models import Academy


Pair = tuple[int, int]


@dataclass(frozen=True)
class ModulePlace:
    """One module of an award for one person; `open` says what is missing, empty when nothing is."""

    module: int
    title: str
    sign_off: SignOff | None
    open: str = ""


@dataclass(frozen=True)
class AwardPlace:
    """One award for one person.

    `ended` is the newest certificate of it that was withdrawn or has lapsed, where no newer one
    took its place.
    """

    award: Award
    person: int
    modules: tuple[ModulePlace, ...]
    assessors: int
    certificate: Certificate | None = None
    ended: Certificate | None = None

    @property
    def open(self) -> list[str]:
        """Everything that still stands in the way, in sentences; empty when it may be issued."""
        gaps = [f"{module.title}: {module.open}" for module in self.modules if module.open]
        if not gaps and self.award.two_assessors and self.assessors < 2:
            gaps.append("All heads were judged by one assessor; two are needed.")
        return gaps

    @property
    def complete(self) -> bool:
        return bool(self.modules) and not self.open

    @property
    def may_issue(self) -> bool:
        return self.complete and self.certificate is None

    @property
    def end(self) -> Standing | None:
        """Whether the ended one was withdrawn or has lapsed, and when."""
        return state_of(self.ended) if self.ended else None

    @property
    def why_ended(self) -> str:
        """The reason that was given; empty where its day simply came."""
        rows = {row.kind: row.reason for row in self.ended.events.all()} if self.ended else {}
        return rows.get(self.end.state.value, "") if self.end else ""

    @property
    def sign_offs(self) -> list[SignOff]:
        return [module.sign_off for module in self.modules if module.sign_off]

    @property
    def done(self) -> int:
        return sum(not module.open for module in self.modules)

    @property
    def words(self) -> str:
        return f"{self.done} of {counted(len(self.modules), 'module')}"


def award_places(academy: Academy, people: Sequence[int]) -> list[AwardPlace]:
    """Every award of the academy for every person. A fixed number of queries."""
    today = timezone.localdate()
    awards = list(Award.objects.filter(academy=academy).prefetch_related("modules"))
    titles = dict(
        ModuleVersion.objects.filter(
            academy=academy, state=ModuleVersion.State.PUBLISHED
        ).values_list("module", "title")
    )
    signed = _latest_sign_offs(academy, people)
    assessors = _assessors(sign_off.pk for sign_off in signed.values())
    valid, ended = _certificates(academy, people, today)
    found = []
    for person in people:
        for award in awards:
            modules = tuple(
                _module_place(
                    module.pk,
                    titles.get(module.pk, module.key),
                    signed.get((person, module.pk)),
                    today,
                )
                for module in award.modules.all()
            )
            who: set[int] = set()
            for module in modules:
                if module.sign_off is not None:
                    who |= assessors[module.sign_off.pk]
            found.append(
                AwardPlace(
                    award,
                    person,
                    modules,
                    len(who),
                    valid.get((person, award.pk)),
                    ended.get((person, award.pk)),
                )
            )
    return found


def state_of(certificate: Certificate, today: date | None = None) -> Standing:
    """The certificate's state today; prefetch `events` for lists."""
    return standing(
        [Happened(event.kind, timezone.localdate(event.at)) for event in certificate.events.all()],
        valid_until=certificate.valid_until,
        today=today or timezone.localdate(),
    )


def _module_place(module: int, title: str, sign_off: SignOff | None, today: date) -> ModulePlace:
    if sign_off is None:
        return ModulePlace(module, title, None, "not signed off")
    if sign_off.in_date_until < today:
        return ModulePlace(module, title, sign_off, f"expired {written(sign_off.in_date_until)}")
    return ModulePlace(module, title, sign_off, _verification_gap(sign_off))


def _verification_gap(sign_off: SignOff) -> str:
    if sign_off.verified:
        return ""
    asked = sign_off.newest_result == Verification.Result.ACTION_NEEDED
    return "the verifier asked for action" if asked else "waits for the verifier"


def _latest_sign_offs(academy: Academy, people: Sequence[int]) -> dict[tuple[int, int], SignOff]:
    rows = SignOff.objects.filter(academy=academy, apprentice__in=people).standing()
    return {
        (row.apprentice_id, row.module_version.module_id): row
        for row in rows.select_related("module_version")
    }


def _assessors(sign_offs: Iterable[int]) -> dict[int, set[int]]:
    found: dict[int, set[int]] = defaultdict(set)
    rows = SignOffAssessment.objects.filter(sign_off__in=list(sign_offs))
    for sign_off, assessor in rows.values_list("sign_off", "assessment__assessor"):
        found[sign_off].add(assessor)
    return found


def _certificates(
    academy: Academy, people: Sequence[int], today: date
) -> tuple[dict[Pair, Certificate], dict[Pair, Certificate]]:
    """By person and award: the one that stands, and the newest that ended and has no follower."""
    standing_ones: dict[Pair, Certificate] = {}
    ended: dict[Pair, Certificate] = {}
    rows = Certificate.objects.filter(academy=academy, holder__in=people)
    rows = rows.select_related("replaced_by").prefetch_related("events")
    for row in rows.order_by("number"):
        state = state_of(row, today).state
        if state in (State.VALID, State.SUSPENDED):
            standing_ones[row.holder_id, row.award_id] = row
            ended.pop((row.holder_id, row.award_id), None)
        elif state is not State.REPLACED and not hasattr(row, "replaced_by"):
            ended[row.holder_id, row.award_id] = row
    return standing_ones, ended
