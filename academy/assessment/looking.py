"""The queue of heads that need a second mark: who gives it, and what stands in its way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Prefetch

from academy.assessment.models import Assessment, SecondAssignment
from academy.people.models import CohortPlace, Role

if TYPE_CHECKING:
    from datetime import datetime

    from academy.people.acting import Acting
    from academy.people.models import Person


@dataclass(frozen=True)
class SecondLook:
    """A head that waits for its second mark, told without a word of the first.

    `assessor` gives the second mark, None while nobody has it. `taught` says that the reader
    teaches this apprentice, which is a warning.
    """

    first: Assessment
    assessor: Person | None
    draft: Assessment | None
    reason: str
    mine: bool
    may_take: bool
    may_assign: bool
    taught: bool

    @property
    def day(self) -> datetime:
        """The day of the head, which is all that is told of when."""
        return self.first.started_at

    @property
    def words(self) -> str:
        if self.assessor is None:
            return "nobody has it yet"
        who = "you" if self.mine else str(self.assessor)
        return f"with {who}, being marked" if self.draft else f"with {who}, not begun"


def second_looks(acting: Acting) -> list[SecondLook]:
    """Every head that waits, oldest first; an assessor sees the free ones and their own.

    Their own first marks are told as waiting too, without whom they wait for.
    """
    person, assesses = acting.person, acting.holds(Role.ASSESSOR)
    rows = (
        Assessment.objects.filter(academy=acting.academy)
        .waiting_for_second()
        .exclude(apprentice=person)
        .select_related("apprentice", "module_version__module")
        .prefetch_related(
            Prefetch(
                "second_assignments",
                SecondAssignment.objects.filter(replaced_by__isnull=True).select_related(
                    "assessor"
                ),
                to_attr="now",
            ),
            "second_marks",
        )
        .order_by("started_at", "pk")
    )
    places = CohortPlace.objects.filter(cohort__educators=person)
    taught = set(places.values_list("person", flat=True))
    found = [_look(row, person, assesses=assesses, taught=taught) for row in rows]
    if acting.holds(Role.EDUCATOR, Role.VERIFIER, Role.MANAGER):
        return found
    return [look for look in found if look.mine or look.may_take]


def _look(row: Assessment, person: Person, *, assesses: bool, taught: set[int]) -> SecondLook:
    now: SecondAssignment | None = next(iter(row.now), None)  # type: ignore[attr-defined]
    own_first = row.assessor_id == person.pk
    return SecondLook(
        first=row,
        assessor=now.assessor if now and not own_first else None,
        draft=next(iter(row.second_marks.all()), None),
        reason=now.reason if now else "",
        mine=now is not None and now.assessor_id == person.pk,
        may_take=assesses and now is None and not own_first,
        # Whoever may be asked to mark it learns nothing by naming others, and picks no judge.
        may_assign=not assesses,
        taught=row.apprentice_id in taught,
    )
