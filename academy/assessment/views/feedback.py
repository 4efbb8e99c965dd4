"""The four boxes: written and kept while the head is open, then submitted; corrected later."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.boxes import Boxes
from academy.assessment.forms import BoxesForm, CorrectionForm, initial_boxes
from academy.assessment.models import Assessment, Feedback
from academy.assessment.phrases import begun_with, phrases_for
from academy.assessment.score_page import ScorePage
from academy.assessment.services import scoring, submitting
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
    """The four boxes; `keep` keeps them, `submit` submits the assessment for good.

    While they are typed htmx sends them to be kept, and shows which boxes are whole. `phrase`
    puts an offered phrase into the box for the next step.
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
    form = BoxesForm(
        _typed(request, assessment),
        version=assessment.module_version,
        initial=initial_boxes(assessment),
    )
    warn: list[str] = []
    if form.is_bound and form.is_valid() and _kept(request, assessment, form):
        if "keep" in request.POST and not request.htmx:
            messages.success(request, f"Kept at {timezone.localtime():%H:%M}.")
            return redirect("assessment:assessment-feedback", slug, assessment.token)
        if "submit" in request.POST:
            warn = _warned(request, assessment, form)
            if not warn and _submitted(request, assessment, form):
                return redirect("assessment:result-detail", slug, assessment.token)
    if request.htmx:
        return _said(request, form)
    context = {
        "assessment": assessment,
        "page": ScorePage(assessment),
        "form": form,
        "filled": _filled(form),
        "phrases": phrases_for(assessment),
        "warn": warn,
    }
    return render(request, "assessment/feedback.html", context)


@acting(Role.ASSESSOR)
def feedback_correct(request: ActingRequest, token: str) -> HttpResponse:
    """Mend or add feedback after submission: a new row beside the old one."""
    assessment = submitted_one(request, token)
    old = assessment.feedback.filter(corrected_by__isnull=True).last()
    form = CorrectionForm(
        _typed(request, assessment),
        version=assessment.module_version,
        initial=old.boxes.__dict__ if old else {},
    )
    if request.htmx:
        return _said(request, form)
    warn: list[str] = []
    if "phrase" not in request.POST and form.is_bound and form.is_valid():
        warn = _warned(request, assessment, form)
        if not warn and _corrected(request, assessment, old, form):
            messages.success(request, "Corrected. The earlier words stay readable.")
            return redirect("assessment:result-detail", request.acting.academy.slug, token)
    return render(
        request,
        "assessment/feedback_correct.html",
        {
            "assessment": assessment,
            "form": form,
            "filled": _filled(form),
            "phrases": phrases_for(assessment),
            "warn": warn,
            "allowed": rules.may_correct_feedback(request.acting.person, assessment),
        },
    )


def _typed(request: ActingRequest, assessment: Assessment) -> dict[str, str] | None:
    """What was typed, with the phrase that a button asked for; None before anything was."""
    if request.method != "POST":
        return None
    data = request.POST.dict()
    for phrase in phrases_for(assessment):
        if phrase.key == data.get("phrase"):
            data["next_action"] = begun_with(data.get("next_action", ""), phrase)
    return data


def _said(request: ActingRequest, form: BoxesForm) -> HttpResponse:
    """Which boxes are whole, and what was not kept, while typing goes on."""
    context = {"form": form, "filled": _filled(form), "kept_at": timezone.now()}
    return render(request, "assessment/parts/boxes_said.html", context)


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


def _corrected(
    request: ActingRequest, assessment: Assessment, old: Feedback | None, form: CorrectionForm
) -> bool:
    by, boxes = request.acting.person, form.boxes()
    try:
        if old is None:
            submitting.add_feedback(assessment=assessment, by=by, boxes=boxes)
        else:
            submitting.correct_feedback(
                feedback=old, by=by, boxes=boxes, reason=form.cleaned_data["reason"]
            )
    except Refused as refused:
        form.refuse(refused)
        return False
    return True


def _filled(form: BoxesForm) -> dict[str, bool]:
    """Whether each box is whole, as just typed or as kept; a field at fault counts as empty."""
    if form.is_bound:
        form.is_valid()
        return form.boxes().filled
    return Boxes(**form.initial).filled


def _warned(request: ActingRequest, assessment: Assessment, form: BoxesForm) -> list[str]:
    """What to look at once more before it stands; nothing once `sure` was pressed."""
    if "sure" in request.GET:
        return []
    return warnings_of(assessment, form.boxes(), writer=request.acting.person)
