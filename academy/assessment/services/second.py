"""The blind second mark: somebody else judges the same work, without seeing the first mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment
from academy.audit.services import record

if TYPE_CHECKING:
    from academy.people.models import Person


def start_second_mark(*, first: Assessment, assessor: Person) -> Assessment:
    """Open the draft of a second mark, or give the assessor the one they have already.

    It is judged under the rules of the first mark. Raises `AssessmentError` where no second
    mark is asked for, where there is one, and for the assessor of the first.
    """
    _check_first(first)
    if assessor.pk == first.assessor_id:
        raise AssessmentError("You gave the first mark. The second comes from somebody else.")
    if not rules.may_assess(assessor, first.academy, first.apprentice):
        raise AssessmentError("Only an assessor of this academy can do this.")
    try:
        with transaction.atomic():
            # Held until the end, so that two assessors at once begin one second mark.
            Assessment.objects.select_for_update().get(pk=first.pk)
            found = Assessment.objects.filter(second_of=first).select_related("assessor").first()
            if found is not None:
                return _own(found, assessor)
            assessment = Assessment.objects.create(
                academy_id=first.academy_id,
                apprentice_id=first.apprentice_id,
                module_version_id=first.module_version_id,
                assessor=assessor,
                rule_set_id=first.rule_set_id,
                kind=Assessment.Kind.SECOND,
                second_of=first,
            )
            record(
                academy_id=first.academy_id,
                actor_id=assessor.pk,
                action="assessment.assessment.second_started",
                subject=assessment,
                details={"apprentice": first.apprentice_id, "first": first.pk},
            )
    except IntegrityError as error:
        raise AssessmentError(
            "You have a draft of your own for this apprentice in this module. "
            "Submit or discard it first."
        ) from error
    return assessment


def _check_first(first: Assessment) -> None:
    if first.kind != Assessment.Kind.FIRST or first.state != Assessment.State.SUBMITTED:
        raise AssessmentError("A second mark looks at a first mark that is submitted.")
    if first.withdrawn:
        raise AssessmentError("This head was withdrawn by its assessor, so nobody looks at it.")
    if not first.needs_second:
        raise AssessmentError("No second mark is asked for on this head.")


def _own(found: Assessment, assessor: Person) -> Assessment:
    if found.assessor_id != assessor.pk:
        raise AssessmentError("Somebody else gives the second mark on this head.")
    if found.state == Assessment.State.SUBMITTED:
        raise AssessmentError("Your second mark on this head is submitted and stands.")
    return found
