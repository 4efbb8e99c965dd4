"""Feedback and submission, the result sheet, its acknowledgement and its corrections."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.assessment import rules
from academy.assessment.boxes import Boxes
from academy.assessment.forms import AcknowledgeForm, BoxesForm, CorrectionForm, initial_boxes
from academy.assessment.models import Assessment, Feedback
from academy.assessment.reading import days_to_read, not_acknowledged
from academy.assessment.result_page import ResultPage
from academy.assessment.score_page import ScorePage
from academy.assessment.services import scoring, submitting
from academy.assessment.services.withdrawing import why_it_stands
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@acting(Role.ASSESSOR)
def feedback(request: ActingRequest, token: str) -> HttpResponse:
    """The four boxes; `keep` keeps them, `submit` submits the assessment for good."""
    assessment = get_object_or_404(
        Assessment.objects.for_scoring().filter(
            academy=request.acting.academy, assessor=request.acting.person
        ),
        token=token,
    )
    slug = request.acting.academy.slug
    if assessment.state == Assessment.State.SUBMITTED:
        return redirect("assessment:result-detail", slug, assessment.token)
    page = ScorePage(assessment)
    form = BoxesForm(
        request.POST if request.method == "POST" else None,
        version=assessment.module_version,
        initial=initial_boxes(assessment),
    )
    if request.method == "POST" and form.is_valid() and _kept(request, assessment, form):
        if "submit" not in request.POST:
            messages.success(request, f"Kept at {timezone.localtime():%H:%M}.")
            return redirect("assessment:assessment-feedback", slug, assessment.token)
        if not _warned(request, form) and _submitted(request, assessment, form):
            return redirect("assessment:result-detail", slug, assessment.token)
    context = {"assessment": assessment, "page": page, "form": form, "filled": _filled(form)}
    return render(request, "assessment/feedback.html", {**context, "warn": _warned(request, form)})


def _kept(request: ActingRequest, assessment: Assessment, form: BoxesForm) -> bool:
    try:
        scoring.keep_feedback_draft(
            assessment=assessment, by=request.acting.person, boxes=form.boxes()
        )
    except Refused as refused:
        form.refuse(refused)
        return False
    return True


def _submitted(request: ActingRequest, assessment: Assessment, form: BoxesForm) -> bool:
    try:
        submitting.submit(assessment=assessment, by=request.acting.person, points=[form.boxes()])
    except Refused as refused:
        form.refuse(refused)
        return False
    messages.success(request, "Submitted. The sheet stands as it is now.")
    return True


def _filled(form: BoxesForm) -> dict[str, bool]:
    """Whether each box is whole, as just typed or as kept."""
    if form.is_bound:
        return form.boxes().filled if form.is_valid() else {}
    return Boxes(**form.initial).filled


def _warned(request: ActingRequest, form: BoxesForm) -> list[str]:
    """What to look at once more before submitting; empty once `sure` was pressed."""
    if "submit" not in request.POST or "sure" in request.GET or not form.is_valid():
        return []
    boxes, found = form.boxes(), []
    if boxes.personal_words:
        words = ", ".join(boxes.personal_words)
        found.append(f"“{words}” speaks of the person. Say what the hands did instead.")
    if boxes.count < 3:
        found.append(
            f"Only {boxes.count} of 4 boxes are filled ({', '.join(boxes.open_words)} open). "
            "A sign-off needs three."
        )
    return found


@require_safe
@acting(Role.APPRENTICE)
def result_list(request: ActingRequest) -> HttpResponse:
    """The apprentice's own result sheets, newest first."""
    rows = (
        Assessment.objects.filter(
            academy=request.acting.academy,
            apprentice=request.acting.person,
            state=Assessment.State.SUBMITTED,
            kind=Assessment.Kind.FIRST,
        )
        .select_related("rule_set")
        .for_list()
        .order_by("-submitted_at")
    )
    page, today = page_of(request, rows), timezone.localdate()
    unread = {
        row.pk
        for row in page.object_list
        if not_acknowledged(row, days_to_read(row.rule_set), today)
    }
    return render(request, "assessment/result_list.html", {"page": page, "unread": unread})


@acting()
def result_detail(request: ActingRequest, token: str) -> HttpResponse:
    """The result sheet; the apprentice says on it that they have read it."""
    assessment = _submitted_one(request, token)
    form = AcknowledgeForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            submitting.acknowledge(
                assessment=assessment, apprentice=request.acting.person, **form.cleaned_data
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Thank you. It says here that you have read it.")
            return redirect("assessment:result-detail", request.acting.academy.slug, token)
    page = ResultPage(assessment)
    return render(
        request,
        "assessment/result_detail.html",
        {
            "page": page,
            # Until it is decided the apprentice reads that somebody looks, not at what.
            "withheld": page.state == "second" and request.acting.roles == (Role.APPRENTICE,),
            "both_shown": rules.may_see_both_marks(request.acting.person, assessment),
            "head": page.head,
            "form": form,
            "may_acknowledge": rules.may_acknowledge(request.acting.person, assessment)
            and not page.not_acknowledged,
            "may_correct": rules.may_correct_feedback(request.acting.person, assessment),
            "may_withdraw": rules.may_withdraw(request.acting.person, assessment)
            and not why_it_stands(assessment),
            "may_begin_again": assessment.withdrawn
            and rules.may_withdraw(request.acting.person, assessment)
            and page.next_sheet is None,
        },
    )


@acting(Role.ASSESSOR)
def feedback_correct(request: ActingRequest, token: str) -> HttpResponse:
    """Mend or add feedback after submission: a new row beside the old one."""
    assessment = _submitted_one(request, token)
    old = assessment.feedback.filter(corrected_by__isnull=True).last()
    form = CorrectionForm(
        request.POST if request.method == "POST" else None,
        version=assessment.module_version,
        initial=_values(old) if old else {},
    )
    if request.method == "POST" and form.is_valid():
        try:
            _correct(request, assessment, old, form)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Corrected. The earlier words stay readable.")
            return redirect("assessment:result-detail", request.acting.academy.slug, token)
    return render(
        request,
        "assessment/feedback_correct.html",
        {
            "assessment": assessment,
            "form": form,
            "filled": _filled(form),
            "allowed": rules.may_correct_feedback(request.acting.person, assessment),
        },
    )


def _correct(
    request: ActingRequest, assessment: Assessment, old: Feedback | None, form: CorrectionForm
) -> None:
    by, boxes = request.acting.person, form.boxes()
    if old is None:
        submitting.add_feedback(assessment=assessment, by=by, boxes=boxes)
    else:
        submitting.correct_feedback(
            feedback=old, by=by, boxes=boxes, reason=form.cleaned_data["reason"]
        )


def _values(row: Feedback) -> dict[str, object]:
    return {name: getattr(row, name) for name in Boxes.__dataclass_fields__}


def _submitted_one(request: ActingRequest, token: str) -> Assessment:
    rows = Assessment.objects.visible_to(request.acting.person, request.acting.academy)
    return get_object_or_404(
        rows.for_result().filter(state=Assessment.State.SUBMITTED), token=token
    )
