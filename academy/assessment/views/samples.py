"""Samples of sign-offs: drawn, looked at, exported and closed."""

from __future__ import annotations

import secrets
from decimal import Decimal
from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from academy.assessment import rules
from academy.assessment.forms import people_in
from academy.assessment.forms.looking import SampleForm
from academy.assessment.models import SamplePlan
from academy.assessment.sample_page import SamplePage, in_list
from academy.assessment.services.sampling import (
    Batch,
    Promise,
    close_sample_plan,
    open_sample_plan,
)
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused
from academy.web.tables import CSV, download

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.VERIFIER, Role.MANAGER)
def sample_list(request: ActingRequest) -> HttpResponse:
    """Every batch with how far it is."""
    page = page_of(request, in_list(request.acting.academy))
    return render(request, "assessment/sample_list.html", {"page": page})


@acting(Role.VERIFIER)
def sample_new(request: ActingRequest) -> HttpResponse:
    """Name a batch of sign-offs and draw the promised number, from a seed that is shown then."""
    academy = request.acting.academy
    form = SampleForm(
        request.POST if request.method == "POST" else None,
        academy=academy,
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            plan = open_sample_plan(
                academy=academy,
                by=request.acting.person,
                batch=Batch(data["name"], data["first_day"], data["last_day"], data["cohort"]),
                promise=Promise(
                    rate=data["rate"] / Decimal(100), confidence=data["confidence"] / Decimal(100)
                ),
                seed=throw_seed(),
                new_assessors=list(people_in(academy, Role.ASSESSOR)),
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Drawn. The batch and its seed stand.")
            return redirect("assessment:sample-detail", academy.slug, plan.token)
    return render(request, "assessment/sample_new.html", {"form": form})


def throw_seed() -> int:
    """What a batch is drawn with. Nobody chooses it, or they would choose what it spares."""
    return secrets.randbelow(10**9)


@require_safe
@acting(Role.VERIFIER, Role.MANAGER)
def sample_detail(request: ActingRequest, token: str) -> HttpResponse:
    """What was promised, what was drawn and why, and how far it is."""
    sample = SamplePage(_plan(request, token), request.acting.person)
    return render(
        request,
        "assessment/sample_detail.html",
        {"sample": sample, "page": page_of(request, sample.rows)},
    )


@require_safe
@acting(Role.VERIFIER, Role.MANAGER)
def sample_csv(request: ActingRequest, token: str) -> HttpResponse:
    """The batch as a table, one line for each decision."""
    sample = SamplePage(_plan(request, token), request.acting.person)
    return download(sample.plan.name, CSV, {"decisions": sample.table})


@require_POST
@acting(Role.VERIFIER)
def sample_close(request: ActingRequest, token: str) -> HttpResponse:
    """Close a batch, or say what stands open; 403 for who had a part in one of its decisions."""
    plan = _plan(request, token)
    if not rules.may_close_sample(request.acting.person, plan):
        raise PermissionDenied("You had a part in a decision of this batch. Another closes it.")
    try:
        close_sample_plan(plan=plan, by=request.acting.person)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "Closed. Every sign-off of the batch counts as verified.")
    return redirect("assessment:sample-detail", request.acting.academy.slug, token)


def _plan(request: ActingRequest, token: str) -> SamplePlan:
    rows = SamplePlan.objects.filter(academy=request.acting.academy)
    return get_object_or_404(rows.select_related("academy", "made_by", "cohort"), token=token)
