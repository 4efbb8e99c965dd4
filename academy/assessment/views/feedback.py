"""The four boxes: written and kept while the head is open, then submitted; corrected later."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.forms import CorrectionForms, PointForms, initial_points
from academy.assessment.models import Assessment
from academy.assessment.phrases import phrases_for
from academy.assessment.points import counting
from academy.assessment.score_page import ScorePage
from academy.assessment.services import scoring, submitting
from academy.assessment.services.feedback import correct_points
from academy.assessment.views.results import submitted_one
from academy.assessment.warnings import warnings_of
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@acting(Role.ASSESSOR)
def feedback_write(request: ActingRequest, token: str) -> HttpResponse:
    """The points, four boxes each; `keep` keeps them, `submit` submits the assessment for good.

    While they are typed htmx sends them to be kept, and shows which boxes are whole. `add` and
    `drop` add a point and take one away, `phrase` puts an offered phrase into a point's next step.
    """
    assessment = get_object_or_404(
        Assessment.objects.for_scoring().filter(
            academy=request.acting.academy, assessor=request.acting.person
        ),
        token=token,
    )
    slug = request.acting.academy.slug
    if assessment.state == Assessment.State.SUBMITTED:
        return redirect("assessment:result-detail", slug, assessment.token)
    phrases = phrases_for(assessment)
    points = PointForms(
        _sent(request),
        version=assessment.module_version,
        given=initial_points(assessment),
        offered=phrases,
    )
    warn: list[str] = []
    if points.is_bound and points.is_valid() and _kept(request, assessment, points):
        if "keep" in request.POST and not request.htmx:
            messages.success(request, f"Kept at {timezone.localtime():%H:%M}.")
            return redirect("assessment:assessment-feedback", slug, assessment.token)
        if "submit" in request.POST and not points.pressed:
            warn = _warned(request, assessment, points)
            if not warn and _submitted(request, assessment, points):
                return redirect("assessment:result-detail", slug, assessment.token)
    if request.htmx:
        return _said(request, points)
    context = {
        "assessment": assessment,
        "page": ScorePage(assessment),
        "points": points,
        "phrases": phrases,
        "warn": warn,
    }
    return render(request, "assessment/feedback.html", context)


@acting(Role.ASSESSOR)
def feedback_correct(request: ActingRequest, token: str) -> HttpResponse:
    """Mend or add feedback after submission: new rows beside the old ones."""
    assessment = submitted_one(request, token)
    rows = list(assessment.feedback.all())
    phrases = phrases_for(assessment)
    points = CorrectionForms(
        _sent(request),
        version=assessment.module_version,
        rows=rows,
        counted=counting(rows),
        offered=phrases,
    )
    if request.htmx:
        return _said(request, points)
    warn: list[str] = []
    if points.is_bound and points.is_valid() and not points.pressed:
        warn = _warned(request, assessment, points)
        if not warn and _corrected(request, assessment, points):
            messages.success(request, "Corrected. The earlier words stay readable.")
            return redirect("assessment:result-detail", request.acting.academy.slug, token)
    return render(
        request,
        "assessment/feedback_correct.html",
        {
            "assessment": assessment,
            "points": points,
            "phrases": phrases,
            "warn": warn,
            "allowed": rules.may_correct_feedback(request.acting.person, assessment),
        },
    )


def _sent(request: ActingRequest) -> dict[str, str] | None:
    """What was typed and pressed; None before anything was."""
    return request.POST.dict() if request.method == "POST" else None


def _said(request: ActingRequest, points: PointForms) -> HttpResponse:
    """Which boxes are whole, and what was not kept, while typing goes on."""
    context = {"points": points, "kept_at": timezone.now()}
    return render(request, "assessment/parts/boxes_said.html", context)


def _kept(request: ActingRequest, assessment: Assessment, points: PointForms) -> bool:
    try:
        scoring.keep_feedback_draft(
            assessment=assessment, by=request.acting.person, points=points.points()
        )
    except Refused as refused:
        points.refuse(refused)
        return False
    return True


def _submitted(request: ActingRequest, assessment: Assessment, points: PointForms) -> bool:
    try:
        submitting.submit(assessment=assessment, by=request.acting.person, points=points.points())
    except Refused as refused:
        points.refuse(refused)
        return False
    messages.success(request, "Submitted. The sheet stands as it is now.")
    return True


def _corrected(request: ActingRequest, assessment: Assessment, points: CorrectionForms) -> bool:
    try:
        correct_points(
            assessment=assessment,
            by=request.acting.person,
            points=points.pairs(),
            reason=points.why.cleaned_data["reason"],
        )
    except Refused as refused:
        points.refuse(refused)
        return False
    return True


def _warned(request: ActingRequest, assessment: Assessment, points: PointForms) -> list[str]:
    """What to look at once more before it stands; nothing once `sure` was pressed."""
    if "sure" in request.GET:
        return []
    written = [point for point in points.points() if not point.empty]
    return warnings_of(assessment, written, writer=request.acting.person)
