"""Beginning a head after a "not yet": when, after which practice, in which scope (5.5)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.assessment.again import AfterNotYet, after_not_yet
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Reassessment
from academy.craft.judging.errors import JudgingError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person


def check_again(
    *,
    academy: Academy,
    assessor: Person,
    apprentice: Person,
    version: ModuleVersion,
    chosen: Sequence[str],
) -> AfterNotYet | None:
    """What this head has to obey, None where it follows no "not yet".

    Raises `AssessmentError` with the first thing that is open, and for a wrong choice of the
    criteria that a partial re-assessment judges besides those missed.
    """
    found = after_not_yet(academy, apprentice, version)
    if found is None:
        if chosen:
            raise AssessmentError("This head is judged whole; no criterion is chosen for it.")
        return None
    for sentence in found.refusals(assessor.pk):
        raise AssessmentError(sentence)
    try:
        found.again.scope(chosen)
    except JudgingError as error:
        titles = ", ".join(title for _, title in found.choices)
        raise AssessmentError(
            f"This is a partial re-assessment. {error} The others are: {titles}.", field="chosen"
        ) from error
    return found


def keep_scope(assessment: Assessment, after: AfterNotYet, chosen: Sequence[str]) -> Reassessment:
    """Write down with the draft what it judges again; in the transaction that begins it."""
    return Reassessment.objects.create(
        assessment=assessment,
        after=after.last,
        criteria=list(after.again.scope(chosen)) if after.again.partial else [],
        chosen=list(chosen) if after.again.partial else [],
        whole_because=[one.value for one in after.again.whole_because],
    )
