"""A verifier's queue, the check of one sign-off, who is named for it, and answers to actions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.assessment import consequences, rules
from academy.assessment.forms import VerifyForm, people_in
from academy.assessment.forms.looking import AnswerForm, NameVerifierForm
from academy.assessment.models import Assessment, SignOff, Verification
from academy.assessment.result_page import ResultPage
from academy.assessment.services.signing import verify
from academy.assessment.services.verifying import answer_action, name_verifier, open_action
from academy.assessment.verifying import waiting_for
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.VERIFIER, Role.MANAGER)
def verification_list(request: ActingRequest) -> HttpResponse:
    """Everything that waits, what must be looked at first; own decisions greyed with the reason."""
    rows = waiting_for(request.acting.academy, request.acting.person)
    if search := request.GET.get("q", "").strip().lower():
        rows = [row for row in rows if search in row.sign_off.apprentice.name.lower()]
    must = [row for row in rows if row.must]
    # A manager looks at none of them, and sees that somebody does.
    mine = must if request.acting.role == Role.MANAGER else [row for row in must if row.may]
    return render(
        request,
        "assessment/verification_list.html",
        {
            "page": page_of(request, rows),
            "search": search,
            "must": len(mine),
            "others": len(must) - len(mine),
        },
    )


@acting(Role.VERIFIER)
def verification_new(request: ActingRequest, token: str) -> HttpResponse:
    """The evidence of one sign-off and the verifier's decision; 403 for one's own decision.

    To overturn takes two steps: what follows from it is named before it is confirmed.
    """
    row = _sign_off(request, token)
    if not rules.may_verify(request.acting.person, row):
        raise PermissionDenied("You had a part in this decision, or another verifier was named.")
    form = VerifyForm(request.POST if request.method == "POST" else None)
    foretold: list[str] = []
    if request.method == "POST" and form.is_valid():
        overturns = form.cleaned_data["result"] == Verification.Result.OVERTURNED
        if overturns and "confirm" not in request.POST:
            foretold = consequences.of_overturning(row)
        else:
            try:
                result = verify(sign_off=row, verifier=request.acting.person, **form.cleaned_data)
            except Refused as refused:
                form.refuse(refused)
            else:
                messages.success(request, f"Recorded: {result.get_result_display()}.")
                return redirect("assessment:verification-list", row.academy.slug)
    named = Assessment.objects.for_result().filter(sign_offs=row).order_by("started_at")
    return render(
        request,
        "assessment/verification_new.html",
        {
            "sign_off": row,
            "heads": [ResultPage(assessment) for assessment in named],
            "form": form,
            "foretold": foretold,
            "earlier": row.verifications.select_related("verifier", "answer__by"),
        },
    )


@acting(Role.MANAGER)
def verifier_name(request: ActingRequest, token: str) -> HttpResponse:
    """A manager names the verifier of a sign-off, where another had a part in it."""
    row = _sign_off(request, token)
    if not rules.may_name_verifier(request.acting.person, row):
        raise PermissionDenied("You had a part in this decision. Another manager names who looks.")
    verifiers = people_in(request.acting.academy, Role.VERIFIER)
    free = verifiers.exclude(pk__in=rules.involved_in(row))
    form = NameVerifierForm(request.POST if request.method == "POST" else None, people=free)
    if request.method == "POST" and form.is_valid():
        try:
            named = name_verifier(sign_off=row, by=request.acting.person, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Named. {named.verifier} verifies this sign-off.")
            return redirect("assessment:signoff-detail", row.academy.slug, token)
    return render(
        request,
        "assessment/verifier_name.html",
        {"sign_off": row, "form": form, "free": free, "now": row.named_verifiers.first()},
    )


@acting(Role.ASSESSOR, Role.EDUCATOR)
def action_answer(request: ActingRequest, token: str) -> HttpResponse:
    """What was done about an action a verifier asked for."""
    row = _sign_off(request, token)
    if not rules.may_answer_action(request.acting.person, row):
        raise PermissionDenied("The assessor who signed answers this, or an educator.")
    action = open_action(row)
    form = AnswerForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and action is not None and form.is_valid():
        try:
            answer_action(action=action, by=request.acting.person, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Answered. The verifier looks at it again.")
            return redirect("assessment:signoff-detail", row.academy.slug, token)
    return render(
        request,
        "assessment/action_answer.html",
        {"sign_off": row, "action": action, "form": form},
    )


def _sign_off(request: ActingRequest, token: str) -> SignOff:
    rows = SignOff.objects.filter(academy=request.acting.academy)
    return get_object_or_404(
        rows.select_related("academy", "apprentice", "assessor", "module_version__module"),
        token=token,
    )
