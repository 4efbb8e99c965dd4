"""A verifier's queue, and the check of one sign-off with its evidence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.assessment.forms import VerifyForm
from academy.assessment.models import Assessment, SignOff
from academy.assessment.result_page import ResultPage
from academy.assessment.rules import may_verify
from academy.assessment.services.signing import verify
from academy.assessment.verifying import waiting_for
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.VERIFIER)
def verification_list(request: ActingRequest) -> HttpResponse:
    """Everything that waits, what must be looked at first; own decisions greyed with the reason."""
    rows = waiting_for(request.acting.academy, request.acting.person)
    if search := request.GET.get("q", "").strip().lower():
        rows = [row for row in rows if search in row.sign_off.apprentice.name.lower()]
    return render(
        request,
        "assessment/verification_list.html",
        {"page": page_of(request, rows), "search": search, "must": sum(r.must for r in rows)},
    )


@acting(Role.VERIFIER)
def verification_new(request: ActingRequest, token: str) -> HttpResponse:
    """The evidence of one sign-off and the verifier's decision; 403 for one's own decision."""
    rows = SignOff.objects.filter(academy=request.acting.academy)
    row = get_object_or_404(
        rows.select_related("academy", "apprentice", "assessor", "module_version__module"),
        token=token,
    )
    if not may_verify(request.acting.person, row):
        raise PermissionDenied("You had a part in this decision. Another verifier has to look.")
    form = VerifyForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            result = verify(sign_off=row, verifier=request.acting.person, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Recorded: {result.get_result_display()}.")
            return redirect("assessment:verification-list", row.academy.slug)
    named = Assessment.objects.for_result().filter(sign_offs=row).order_by("started_at")
    heads = [ResultPage(assessment) for assessment in named]
    earlier = row.verifications.select_related("verifier")
    return render(
        request,
        "assessment/verification_new.html",
        {"sign_off": row, "heads": heads, "form": form, "earlier": earlier},
    )
