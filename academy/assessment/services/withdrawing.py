"""Taking back a submission that was made by mistake: a row beside it, never a deletion."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Appeal,
    Assessment,
    FaultMark,
    FeedbackDraft,
    HeadDraw,
    Mark,
    Reassessment,
    SignOffAssessment,
    StopEvent,
    Withdrawal,
    ZoneLeftOut,
)
from academy.assessment.points import counting
from academy.audit.services import record
from academy.curriculum.house import rules_of
from academy.web.tokens import new_token

if TYPE_CHECKING:
    from datetime import datetime

    from django.db.models import Model

    from academy.people.models import Person

SECOND = (
    "A second mark cannot be withdrawn: the first is open to you since you submitted, so another "
    "one would not be blind. Tell the verifier what is wrong with it."
)

# Whether the sample drew the head, and what it follows, stay as they were with its first draft.
_GOES_ALONG = (
    Mark,
    ZoneLeftOut,
    FaultMark,
    StopEvent,
    HeadDraw,
    Reassessment,
)


def withdraw(*, assessment: Assessment, by: Person, reason: str) -> Withdrawal:
    """Take a submission back within the time the rules give; it counts nowhere from then on.

    The sheet stays readable with the reason. Withdrawing twice gives the same row. Raises
    `AssessmentError` for anybody but its assessor, after that time, for a second mark, and where
    a sign-off or a second mark rests on it.
    """
    if not rules.may_withdraw(by, assessment):
        raise AssessmentError("Only the assessor who submitted this head can withdraw it.")
    if not reason.strip():
        raise AssessmentError(
            "Say what the mistake was, for example: levels of another head.", field="reason"
        )
    with transaction.atomic():
        # Held until the end, so that no sign-off and no second mark begins to rest on it.
        Assessment.objects.select_for_update().get(pk=assessment.pk)
        found = Withdrawal.objects.filter(assessment=assessment).first()
        if found is not None:
            return found
        refusal = why_it_stands(assessment)
        if refusal:
            raise AssessmentError(refusal)
        row = Withdrawal.objects.create(assessment=assessment, by=by, reason=reason.strip())
        record(
            academy_id=assessment.academy_id,
            actor_id=by.pk,
            action="assessment.assessment.withdrawn",
            subject=assessment,
            details={
                "apprentice": assessment.apprentice_id,
                "version": assessment.module_version_id,
                "by_marks": assessment.outcome.by_marks,
                "withdrawal": row.pk,
            },
        )
    return row


def withdrawable_until(assessment: Assessment) -> datetime:
    """The moment until which its assessor may withdraw it, by the rules it was judged under."""
    if assessment.submitted_at is None:
        raise AssessmentError("A draft is discarded, not withdrawn.")
    minutes = rules_of(assessment.rule_set).number("judging", what="withdraw_minutes")
    return assessment.submitted_at + timedelta(minutes=int(minutes))


def why_it_stands(assessment: Assessment) -> str:
    """Why a submission cannot be withdrawn (any more); empty where it can."""
    if assessment.kind != Assessment.Kind.FIRST:
        return SECOND if assessment.kind == Assessment.Kind.SECOND else "This one stands."
    if SignOffAssessment.objects.filter(assessment=assessment).exists():
        return (
            "A sign-off rests on this head, so it stands. The verifier can overturn the sign-off."
        )
    if Assessment.objects.filter(second_of=assessment).exists():
        return (
            "A second assessor has begun to look at this head, so it stands. "
            "Tell the verifier what is wrong with it."
        )
    if Appeal.objects.filter(assessment=assessment, withdrawal__isnull=True).exists():
        return "There is an appeal on this head, so it stands. The verifier answers the appeal."
    until = withdrawable_until(assessment)
    if timezone.now() > until:
        return (
            f"It could be withdrawn until {timezone.localtime(until):%H:%M on %d %b %Y}. "
            "Now it stands; tell the verifier what is wrong with it."
        )
    return ""


def begin_again(*, withdrawn: Assessment, by: Person) -> Assessment:
    """A new draft that begins with the levels, faults and notes of a withdrawn submission.

    It keeps the day of the head, and the overall rating that was given before any sum was shown.
    Asked again, it gives the same draft. Raises `AssessmentError` for anybody but its assessor.
    """
    if not withdrawn.withdrawn or withdrawn.assessor_id != by.pk:
        raise AssessmentError("Only the assessor who withdrew this head begins it again.")
    if not rules.may_assess(by, withdrawn.academy, withdrawn.apprentice):
        raise AssessmentError("Only an assessor of this academy can do this.")
    try:
        with transaction.atomic():
            Assessment.objects.select_for_update().get(pk=withdrawn.pk)
            found = Assessment.objects.filter(again_of=withdrawn).first()
            if found is not None:
                return found
            draft = _copy_of(withdrawn)
            record(
                academy_id=draft.academy_id,
                actor_id=by.pk,
                action="assessment.assessment.begun_again",
                subject=draft,
                details={"apprentice": draft.apprentice_id, "withdrawn": withdrawn.pk},
            )
    except IntegrityError as error:
        raise AssessmentError(
            "Somebody is marking a head of this apprentice in this module now. "
            "That draft is submitted or discarded first."
        ) from error
    return draft


def _copy_of(withdrawn: Assessment) -> Assessment:
    """A draft with a copy of everything that was marked; the feedback goes into its boxes."""
    draft = Assessment.objects.get(pk=withdrawn.pk)
    draft.pk, draft.token, draft._state.adding = None, new_token(), True
    draft.state, draft.submitted_at, draft.revision = Assessment.State.DRAFT, None, 0
    draft.changed_at = timezone.now()
    draft.again_of = withdrawn
    draft.save()
    for model in _GOES_ALONG:
        for row in model._default_manager.filter(assessment=withdrawn):
            _copy_row(row, draft)
    # A wish that was called off with its appeal is over.
    for wish in withdrawn.second_asked.filter(called_off__isnull=True):
        _copy_row(wish, draft)
    points = [row.boxes.as_json() for row in counting(withdrawn.feedback.all())]
    if points:
        FeedbackDraft.objects.create(assessment=draft, points=points)
    return draft


def _copy_row(row: Model, draft: Assessment) -> None:
    row.pk, row._state.adding = None, True
    setattr(row, "assessment", draft)  # noqa: B010
    if hasattr(row, "token"):
        setattr(row, "token", new_token())  # noqa: B010
    row.save()
