"""Second marks: the queue, giving one to somebody, taking one, asking for one, the sample."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from academy.assessment.forms import people_in
from academy.assessment.forms.looking import AssignForm, HeadSampleForm, WishForm
from academy.assessment.looking import second_looks
from academy.assessment.models import Assessment, HeadDraw, HeadSamplePlan, SecondAsked
from academy.assessment.services import second
from academy.assessment.services.head_sample import SampleRules, plan_head_sample
from academy.assessment.views.chair import own_draft
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)
def second_list(request: ActingRequest) -> HttpResponse:
    """Heads that need a second mark, with who gives it; nothing of the first mark."""
    looks = second_looks(request.acting)
    if search := request.GET.get("q", "").strip().lower():
        looks = [look for look in looks if search in look.first.apprentice.name.lower()]
    return render(
        request,
        "assessment/second_list.html",
        {
            "page": page_of(request, looks),
            "search": search,
            "count": len(looks),
            "plan": HeadSamplePlan.objects.filter(academy=request.acting.academy).first(),
        },
    )


@acting(Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)
def second_assign(request: ActingRequest, token: str) -> HttpResponse:
    """Give a head to a free assessor, or to another one with the reason."""
    if request.acting.holds(Role.ASSESSOR):
        raise PermissionDenied(
            "You assess here, so you may be asked to mark this head blind. "
            "Somebody who does not assess gives it to an assessor."
        )
    academy = request.acting.academy
    first = _waiting(request, token)
    now = second.current_assignment(first)
    form = AssignForm(
        request.POST if request.method == "POST" else None,
        first=first,
        people=people_in(academy, Role.ASSESSOR),
        again=now is not None,
    )
    if request.method == "POST" and form.is_valid():
        try:
            row = second.assign_second_mark(
                first=first, by=request.acting.person, **form.cleaned_data
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _given_words(row.assessor.name, taught=row.taught))
            return redirect("assessment:second-list", academy.slug)
    draft = first.second_marks.first()
    return render(
        request,
        "assessment/second_assign.html",
        {"first": first, "now": now, "draft": draft, "form": form},
    )


def _given_words(name: str, *, taught: bool) -> str:
    said = f"Given to {name}. It stands on their first page."
    if taught:
        said += " They teach this apprentice; somebody who does not would be better."
    return said


@require_POST
@acting(Role.ASSESSOR)
def second_take(request: ActingRequest, token: str) -> HttpResponse:
    """An assessor takes a head that nobody has, or goes on with their own."""
    first = _waiting(request, token)
    try:
        draft = second.start_second_mark(first=first, assessor=request.acting.person)
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("assessment:second-list", request.acting.academy.slug)
    return redirect("assessment:assessment-score", request.acting.academy.slug, draft.token)


@acting(Role.ASSESSOR)
def second_ask(request: ActingRequest, token: str) -> HttpResponse:
    """The assessor of a draft asks for a second mark, or takes that back."""
    assessment = own_draft(request, token, Assessment.objects.for_touch())
    slug, by = request.acting.academy.slug, request.acting.person
    if assessment.state == Assessment.State.SUBMITTED:
        return redirect("assessment:result-detail", slug, assessment.token)
    wish = SecondAsked.objects.filter(assessment=assessment).first()
    posted = request.method == "POST"
    if posted and "back" in request.POST:
        second.take_back_wish(assessment=assessment, by=by)
        messages.success(request, "Taken back. No second mark is asked for by you.")
        return redirect("assessment:assessment-feedback", slug, assessment.token)
    form = WishForm(request.POST if posted else None, initial={"reason": wish and wish.reason})
    if posted and form.is_valid():
        try:
            second.ask_for_second_mark(assessment=assessment, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Kept. Once you submit, a second assessor marks this head.")
            return redirect("assessment:assessment-feedback", slug, assessment.token)
    return render(
        request,
        "assessment/second_ask.html",
        {"assessment": assessment, "form": form, "wish": wish},
    )


@acting(Role.VERIFIER)
def head_sample(request: ActingRequest) -> HttpResponse:
    """The share of heads drawn for a second mark, and how many it drew."""
    academy = request.acting.academy
    limits = SampleRules.of(academy)
    form = HeadSampleForm(
        request.POST if request.method == "POST" else None,
        limits=limits,
    )
    if request.method == "POST" and form.is_valid():
        try:
            plan_head_sample(
                academy=academy,
                by=request.acting.person,
                seed=secrets.randbelow(2**63),
                **form.cleaned_data,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Set. It holds for heads begun from now on.")
            return redirect("assessment:head-sample", academy.slug)
    draws = HeadDraw.objects.filter(
        plan__academy=academy, assessment__state=Assessment.State.SUBMITTED
    )
    plans = HeadSamplePlan.objects.filter(academy=academy).select_related("made_by")
    now = plans.first()
    return render(
        request,
        "assessment/head_sample.html",
        {
            "form": form,
            "plans": page_of(request, plans),
            "now": now,
            "outside": now is not None and not limits.allow(now.percent),
            "submitted": draws.count(),
            "drawn": draws.filter(drawn=True).count(),
        },
    )


def _waiting(request: ActingRequest, token: str) -> Assessment:
    rows = Assessment.objects.filter(academy=request.acting.academy).waiting_for_second()
    return get_object_or_404(
        rows.exclude(apprentice=request.acting.person).select_related(
            "academy", "apprentice", "module_version__module", "outcome"
        ),
        token=token,
    )
