"""The blind second mark: asked for, given to somebody, begun without seeing the first mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, SecondAsked, SecondAssignment
from academy.assessment.services.holding import hold_head
from academy.audit.services import record

if TYPE_CHECKING:
    from academy.people.models import Person

TAKEN = "Somebody else gives the second mark on this head."


def ask_for_second_mark(*, assessment: Assessment, by: Person, reason: str) -> SecondAsked:
    """The assessor asks for a second mark before submitting. Asking again changes the reason."""
    _check_own_draft(assessment, by)
    if not reason.strip():
        raise AssessmentError("Say why, for example: light changed at the window.", field="reason")
    with transaction.atomic():
        # Asked again under the lock: it may have been submitted meanwhile.
        _check_own_draft(hold_head(assessment), by)
        row, _ = SecondAsked.objects.update_or_create(
            assessment=assessment,
            cause=SecondAsked.Cause.REQUEST,
            defaults={"by": by, "reason": reason.strip(), "at": timezone.now()},
        )
        _record_head(assessment, by, "assessment.second.asked", cause=row.cause)
    return row


def take_back_wish(*, assessment: Assessment, by: Person) -> None:
    """The assessor asks for no second mark after all, before submitting."""
    with transaction.atomic():
        if not rules.may_score(by, hold_head(assessment)):
            raise AssessmentError("Only the assessor of a head takes this back, before submitting.")
        rows = SecondAsked.objects.filter(assessment=assessment, cause=SecondAsked.Cause.REQUEST)
        if rows.delete()[0]:
            _record_head(assessment, by, "assessment.second.not_asked")


def ask_by_appeal(*, first: Assessment, by: Person, reason: str) -> SecondAsked:
    """An appeal asks for a blind second look at a head that stands. Once for each head.

    The caller checks that the appeal may be made; this raises `AssessmentError` where two
    assessors have looked already.
    """
    if first.kind != Assessment.Kind.FIRST or first.state != Assessment.State.SUBMITTED:
        raise AssessmentError("An appeal is about a first mark that is submitted.")
    with transaction.atomic():
        now = hold_head(first)
        if now.second_marks.filter(state=Assessment.State.SUBMITTED).exists():
            raise AssessmentError(
                "Two assessors have marked this head. The verifier answers the appeal from both."
            )
        row, made = SecondAsked.objects.get_or_create(
            assessment=now,
            cause=SecondAsked.Cause.APPEAL,
            defaults={"by": by, "reason": reason.strip()[:400]},
        )
        if made:
            _record_head(now, by, "assessment.second.asked", cause=row.cause)
    return row


def assign_second_mark(
    *, first: Assessment, assessor: Person, by: Person, reason: str = ""
) -> SecondAssignment:
    """Give the second mark of a head to somebody, or to oneself; again gives it to another.

    A reassignment needs its reason, and discards what the other had begun. Giving it to the one
    who has it changes nothing. Raises `AssessmentError` for the assessor of the first mark, and
    once the second is submitted.
    """
    check_waits(first)
    if not rules.may_assign_second(by, first.academy) and by.pk != assessor.pk:
        raise AssessmentError("Educators, verifiers and managers give second marks to somebody.")
    if by.pk in (first.assessor_id, first.apprentice_id):
        raise AssessmentError("Nobody chooses who looks at their own work. Ask a colleague.")
    _check_assessor(first, assessor)
    with transaction.atomic():
        # Held until the end, so that two people at once give it to one; asked again, because it
        # may have been withdrawn meanwhile.
        check_waits(hold_head(first))
        now = current_assignment(first)
        if now is not None and now.assessor_id == assessor.pk:
            return now
        if now is not None:
            _check_reassign(first, by, reason)
        row = _write(first, assessor, by, replaces=now, reason=reason)
        action = "assessment.second.assigned" if now is None else "assessment.second.reassigned"
        _record_head(first, by, action, assessor=assessor.pk, taught=row.taught)
    return row


def current_assignment(first: Assessment) -> SecondAssignment | None:
    """The row that counts: nobody was put in its place."""
    return SecondAssignment.objects.filter(first=first, replaced_by__isnull=True).first()


def start_second_mark(*, first: Assessment, assessor: Person) -> Assessment:
    """Open the draft of a second mark, or give the assessor the one they have already.

    It is judged under the rules of the first mark; who begins a head that nobody has takes it.
    Raises `AssessmentError` where no second mark is asked for, where there is one, and for the
    assessor of the first.
    """
    _check_first(first)
    _check_assessor(first, assessor)
    try:
        with transaction.atomic():
            # Held until the end, so that two assessors at once begin one second mark; asked
            # again, because it may have been withdrawn meanwhile.
            _check_first(hold_head(first))
            found = Assessment.objects.filter(second_of=first).select_related("assessor").first()
            if found is not None:
                return _own(found, assessor)
            now = current_assignment(first)
            if now is None:
                # Told by the entry of the draft that is begun with it.
                _write(first, assessor, assessor)
            elif now.assessor_id != assessor.pk:
                raise AssessmentError(TAKEN)
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


def _check_own_draft(head: Assessment, by: Person) -> None:
    if not rules.may_score(by, head) or head.kind != Assessment.Kind.FIRST:
        raise AssessmentError("Only the assessor of a head asks, before it is submitted.")


def _write(
    first: Assessment,
    assessor: Person,
    by: Person,
    *,
    replaces: SecondAssignment | None = None,
    reason: str = "",
) -> SecondAssignment:
    return SecondAssignment.objects.create(
        first=first,
        assessor=assessor,
        by=by,
        replaces=replaces,
        reason=reason.strip(),
        taught=rules.taught(assessor, first.apprentice_id),
    )


def check_waits(first: Assessment) -> None:
    """Raise `AssessmentError` unless a second mark is asked for and not submitted yet."""
    _check_first(first)
    if first.second_marks.filter(state=Assessment.State.SUBMITTED).exists():
        raise AssessmentError("The second mark on this head is submitted and stands.")


def _check_first(first: Assessment) -> None:
    if first.kind != Assessment.Kind.FIRST or first.state != Assessment.State.SUBMITTED:
        raise AssessmentError("A second mark looks at a first mark that is submitted.")
    if first.withdrawn:
        raise AssessmentError("This head was withdrawn by its assessor, so nobody looks at it.")
    if not first.needs_second:
        raise AssessmentError("No second mark is asked for on this head.")


def _check_assessor(first: Assessment, assessor: Person) -> None:
    if assessor.pk == first.assessor_id:
        raise AssessmentError(
            "This assessor gave the first mark. The second comes from somebody else.",
            field="assessor",
        )
    if not rules.may_assess(assessor, first.academy, first.apprentice):
        raise AssessmentError("Only an assessor of this academy can do this.", field="assessor")


def _check_reassign(first: Assessment, by: Person, reason: str) -> None:
    if not rules.may_assign_second(by, first.academy):
        raise AssessmentError(TAKEN)
    if not reason.strip():
        raise AssessmentError("Say why it goes to somebody else: ill until May.", field="reason")
    begun = first.second_marks.filter(state=Assessment.State.DRAFT).first()
    if begun is not None:
        subject = ("assessment.assessment", begun.pk)
        begun.delete()
        record(
            academy_id=first.academy_id,
            actor_id=by.pk,
            action="assessment.assessment.discarded",
            subject=subject,
            details={"apprentice": first.apprentice_id, "version": first.module_version_id},
        )


def _own(found: Assessment, assessor: Person) -> Assessment:
    if found.assessor_id != assessor.pk:
        raise AssessmentError(TAKEN)
    if found.state == Assessment.State.SUBMITTED:
        raise AssessmentError("Your second mark on this head is submitted and stands.")
    return found


def _record_head(first: Assessment, by: Person, action: str, **details: object) -> None:
    record(
        academy_id=first.academy_id,
        actor_id=by.pk,
        action=action,
        subject=first,
        details={"apprentice": first.apprentice_id, **details},
    )
