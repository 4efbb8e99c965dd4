"""Marking a head at the chair: the page, and its forms for whoever has no script."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.db import transaction
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from academy.assessment.errors import AssessmentError
from academy.assessment.forms import NotesForm, ReasonForm, StopForm
from academy.assessment.models import Assessment
from academy.assessment.services import scoring
from academy.assessment.standing import LEVEL, criterion_of, level_place
from academy.assessment.views.chair import (
    after_sign_in,
    back_to_head,
    head_part,
    own_draft,
    touched_elsewhere,
    whole_page,
)
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.http import HttpResponse

    from academy.curriculum.models import Criterion
    from academy.people.acting import ActingRequest

ELSEWHERE = (
    "This draft was touched on another page or device meanwhile, so this form was not kept. "
    "Look at what stands now and press again."
)
LOST = "You were signed out meanwhile, so the last touch was not kept. Press it once more."

touch_view = require_http_methods(["GET", "HEAD", "POST"])


@require_safe
@acting(Role.ASSESSOR)
def score(request: ActingRequest, token: str) -> HttpResponse:
    """The draft with one zone in hand; a submitted one leads to its result sheet."""
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    if assessment.state == Assessment.State.SUBMITTED:
        return redirect("assessment:result-detail", request.acting.academy.slug, assessment.token)
    refused = LOST if "lost" in request.GET else ""
    if touched_elsewhere(request, assessment):
        return whole_page(request, assessment, elsewhere=True)
    return head_part(request, assessment, refused=refused)


@touch_view
@acting(Role.ASSESSOR)
def level(request: ActingRequest, token: str) -> HttpResponse:
    """Without script: all levels of a form, or one taken back."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_level())
    by = request.acting.person
    try:
        if "clear" in request.POST:
            code, zone = level_place(request.POST["clear"])
            criterion = _criterion(assessment, code)
            scoring.clear_level(assessment=assessment, by=by, criterion=criterion, zone=zone)
        elif touched_elsewhere(request, assessment):
            raise AssessmentError(ELSEWHERE)
        else:
            _set_levels(request, assessment)
    except Refused as refused:
        return _fresh_page(request, assessment, refused=refused.message)
    return back_to_head(request, assessment)


def _set_levels(request: ActingRequest, assessment: Assessment) -> None:
    """All levels of the form or none; nothing sent is nothing done."""
    with transaction.atomic():
        for name, value in request.POST.items():
            if not name.startswith(LEVEL):
                continue
            code, zone = level_place(name)
            scoring.set_level(
                assessment=assessment,
                by=request.acting.person,
                criterion=_criterion(assessment, code),
                zone=zone,
                level=int(value) if value in {"0", "1", "2", "3", "4"} else -1,
            )


def _criterion(assessment: Assessment, code: str) -> Criterion:
    criterion = criterion_of(assessment, code)
    if criterion is None:
        raise AssessmentError("This criterion does not belong to the module.")
    return criterion


def _fresh_page(request: ActingRequest, assessment: Assessment, **more: object) -> HttpResponse:
    """The page as it stands now, or the result sheet where it was submitted meanwhile."""
    fresh = own_draft(request, assessment.token, Assessment.objects.for_scoring())
    return whole_page(request, fresh, **more)


def _touched(
    request: ActingRequest, assessment: Assessment, touch: Callable[[], object], **forms: object
) -> HttpResponse:
    """Do one touch, then show the page again."""
    try:
        touch()
    except Refused as refused:
        return _fresh_page(request, assessment, refused=refused.message, **forms)
    return back_to_head(request, assessment)


@touch_view
@acting(Role.ASSESSOR)
def overall(request: ActingRequest, token: str) -> HttpResponse:
    """The overall rating, without script."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_level())
    value = request.POST.get("overall", "")
    rating = int(value) if value in {"1", "2", "3", "4", "5"} else 0
    try:
        scoring.set_overall(assessment=assessment, by=request.acting.person, rating=rating)
    except Refused as refused:
        return _fresh_page(request, assessment, refused=refused.message)
    return back_to_head(request, assessment)


@touch_view
@acting(Role.ASSESSOR)
def notes(request: ActingRequest, token: str) -> HttpResponse:
    """Minutes used and the free note, without script; what was typed stays where it is refused."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    form = NotesForm(
        request.POST, initial={"minutes_used": assessment.minutes_used, "note": assessment.note}
    )
    if form.is_valid():
        try:
            scoring.set_notes(assessment=assessment, by=request.acting.person, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
    if form.errors:
        return whole_page(request, assessment, notes_form=form)
    return back_to_head(request, assessment)


@touch_view
@acting(Role.ASSESSOR)
def zone_out(request: ActingRequest, token: str) -> HttpResponse:
    """Leave the zone in hand out today, with a reason; or take it in again."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    zone = request.POST.get("zone", request.GET.get("zone", ""))
    by = request.acting.person
    if "take_in" in request.POST:
        return _touched(
            request,
            assessment,
            lambda: scoring.take_zone_in(assessment=assessment, by=by, zone=zone),
        )
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return whole_page(request, assessment, zone_form=form)
    return _touched(
        request,
        assessment,
        lambda: scoring.leave_zone_out(
            assessment=assessment, by=by, zone=zone, reason=form.cleaned_data["reason"]
        ),
        zone_form=form,
    )


@acting(Role.ASSESSOR)
def stop(request: ActingRequest, token: str) -> HttpResponse:
    """Record a stop event, after asking once more; or take it back."""
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    by = request.acting.person
    form = StopForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and "resume" in request.POST:
        return _touched(
            request, assessment, lambda: scoring.resume_head(assessment=assessment, by=by)
        )
    if request.method == "POST" and form.is_valid():
        return _touched(
            request,
            assessment,
            lambda: scoring.stop_head(assessment=assessment, by=by, **form.cleaned_data),
        )
    return render(request, "assessment/stop.html", {"assessment": assessment, "form": form})


@acting(Role.ASSESSOR)
def discard(request: ActingRequest, token: str) -> HttpResponse:
    """Throw a draft away, after asking."""
    assessment = own_draft(request, token, Assessment.objects.all())
    if request.method == "POST":
        try:
            scoring.discard_draft(assessment=assessment, by=request.acting.person)
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            messages.success(request, "Discarded. Nothing of this draft is kept.")
        return redirect("assessment:assessment-list", request.acting.academy.slug)
    return render(request, "assessment/discard.html", {"assessment": assessment})
