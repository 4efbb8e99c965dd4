"""Taking a submission back that was made by mistake, and beginning again from its levels."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from academy.assessment import rules
from academy.assessment.forms import MistakeForm
from academy.assessment.models import Assessment
from academy.assessment.services import withdrawing
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@acting(Role.ASSESSOR)
def result_withdraw(request: ActingRequest, token: str) -> HttpResponse:
    """What the mistake was; the page says until when, or why the sheet stands."""
    assessment = _own(request, token)
    slug = request.acting.academy.slug
    if assessment.withdrawn:
        return redirect("assessment:result-detail", slug, token)
    form = MistakeForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            withdrawing.withdraw(
                assessment=assessment, by=request.acting.person, **form.cleaned_data
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Withdrawn. It counts nowhere, and says why.")
            return redirect("assessment:result-detail", slug, token)
    context = {
        "assessment": assessment,
        "form": form,
        "stands": withdrawing.why_it_stands(assessment),
        "until": withdrawing.withdrawable_until(assessment),
    }
    return render(request, "assessment/result_withdraw.html", context)


@require_POST
@acting(Role.ASSESSOR)
def result_again(request: ActingRequest, token: str) -> HttpResponse:
    """A new draft from the levels of what was withdrawn."""
    assessment, slug = _own(request, token), request.acting.academy.slug
    try:
        draft = withdrawing.begin_again(withdrawn=assessment, by=request.acting.person)
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("assessment:result-detail", slug, token)
    return redirect("assessment:assessment-score", slug, draft.token)


def _own(request: ActingRequest, token: str) -> Assessment:
    rows = Assessment.objects.visible_to(request.acting.person, request.acting.academy)
    found = get_object_or_404(
        rows.filter(state=Assessment.State.SUBMITTED).select_related(
            "academy", "apprentice", "module_version", "rule_set", "withdrawal", "outcome"
        ),
        token=token,
    )
    if not rules.may_withdraw(request.acting.person, found):
        raise PermissionDenied
    return found
