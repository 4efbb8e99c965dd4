"""The result sheet, and the apprentice's answer to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.assessment import rules
from academy.assessment.blind import withheld
from academy.assessment.forms import AcknowledgeForm
from academy.assessment.models import Assessment, ReferenceMarking
from academy.assessment.reading import days_to_read, not_acknowledged
from academy.assessment.result_page import ResultPage
from academy.assessment.services import submitting
from academy.assessment.services.withdrawing import why_it_stands
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


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
    compared = ReferenceMarking.objects.filter(
        assessment__token=token, assessor=request.acting.person
    ).first()
    if compared is not None:
        slug = request.acting.academy.slug
        return redirect("assessment:reference-detail", slug, compared.reference.token)
    assessment = submitted_one(request, token)
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
    own = assessment.apprentice_id == request.acting.person.pk
    page = ResultPage(assessment, standing=own)
    return render(
        request,
        "assessment/result_detail.html",
        {
            "page": page,
            # Until it is decided the apprentice reads that somebody looks, not at what.
            "withheld": withheld(assessment, request.acting.person),
            "both_shown": rules.may_see_both_marks(request.acting.person, assessment),
            "head": page.head,
            "form": form,
            "may_acknowledge": rules.may_acknowledge(request.acting.person, assessment)
            and not page.not_acknowledged,
            "may_correct": rules.may_correct_feedback(request.acting.person, assessment),
            "may_withdraw": rules.may_withdraw(request.acting.person, assessment)
            and not assessment.withdrawn
            and not why_it_stands(assessment),
            "may_begin_again": assessment.withdrawn
            and rules.may_withdraw(request.acting.person, assessment)
            and page.next_sheet is None,
        },
    )


def submitted_one(request: ActingRequest, token: str) -> Assessment:
    rows = Assessment.objects.visible_to(request.acting.person, request.acting.academy)
    return get_object_or_404(
        rows.for_result().filter(state=Assessment.State.SUBMITTED), token=token
    )
