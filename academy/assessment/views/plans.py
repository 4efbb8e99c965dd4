"""Action plans: the list, one plan, writing one, closing one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import F
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.assessment import rules
from academy.assessment.forms.after import PlanCloseForm, PlanForm
from academy.assessment.models import ActionPlan
from academy.assessment.queries import place_of
from academy.assessment.services.plans import close_action_plan, write_action_plan
from academy.audit import sentences
from academy.audit.queries import history_of
from academy.curriculum.models import ModuleVersion
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.db.models import QuerySet
    from django.http import HttpResponse

    from academy.people.acting import Acting, ActingRequest


def _visible(who: Acting) -> QuerySet[ActionPlan]:
    """An apprentice sees their own plans; staff see the academy's."""
    rows = ActionPlan.objects.filter(academy=who.academy).select_related(
        "academy", "apprentice", "educator", "module_version__module", "closing__educator"
    )
    return rows.filter(apprentice=who.person) if who.roles == (Role.APPRENTICE,) else rows


@require_safe
@acting()
def plan_list(request: ActingRequest) -> HttpResponse:
    """Running ones first, the earliest day on top; then the closed ones."""
    who = request.acting
    rows = _visible(who)
    if who.role == Role.APPRENTICE:
        rows = rows.filter(apprentice=who.person)
    rows = rows.order_by(F("closed_at").desc(nulls_first=True), "due_on", "pk")
    context = {
        "page": page_of(request, rows),
        "today": timezone.localdate(),
        "may_write": rules.may_plan(who.person, who.academy),
        "own": who.role == Role.APPRENTICE,
    }
    return render(request, "assessment/plan_list.html", context)


@require_safe
@acting()
def plan_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One plan with its history from the record."""
    who = request.acting
    plan = get_object_or_404(_visible(who), token=token)
    history = history_of(plan._meta.label_lower, plan.pk, academy_id=who.academy.pk)
    context = {
        "plan": plan,
        "late": plan.closed_at is None and plan.due_on < timezone.localdate(),
        "may_close": plan.closed_at is None and rules.may_close_plan(who.person, plan),
        "history": sentences.render(history),
    }
    return render(request, "assessment/plan_detail.html", context)


@acting(Role.EDUCATOR)
def plan_new(request: ActingRequest) -> HttpResponse:
    """Write a plan. `?apprentice=…&module=…` fills the form in."""
    who = request.acting
    initial = {name: request.GET.get(name, "") for name in ("apprentice", "module")}
    form = PlanForm(
        request.POST if request.method == "POST" else None,
        academy=who.academy,
        educator=who.person,
        initial=initial,
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        place = place_of(who.academy, data["apprentice"], data["module"])
        try:
            plan = write_action_plan(
                academy=who.academy,
                educator=who.person,
                apprentice=data["apprentice"],
                version=ModuleVersion.objects.get(pk=place.version),
                text=data["text"],
                due_on=data["due_on"],
                whole_module=data["whole_module"],
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Written. The apprentice reads it on their first page.")
            return redirect("assessment:plan-detail", who.academy.slug, plan.token)
    return render(request, "assessment/plan_new.html", {"form": form})


@acting(Role.EDUCATOR)
def plan_close(request: ActingRequest, token: str) -> HttpResponse:
    """Close a plan with what came of it; 403 for one's own."""
    who = request.acting
    plan = get_object_or_404(_visible(who), token=token)
    if not rules.may_close_plan(who.person, plan):
        raise PermissionDenied("This plan is about you. Another educator closes it.")
    form = PlanCloseForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            close_action_plan(plan=plan, educator=who.person, came_of=form.cleaned_data["came_of"])
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Closed.")
            return redirect("assessment:plan-detail", who.academy.slug, token)
    return render(request, "assessment/plan_close.html", {"plan": plan, "form": form})
