"""Appeals: the list, one appeal with its dates, making one, answering one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models.functions import Coalesce
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.assessment import rules
from academy.assessment.appeals import Terms
from academy.assessment.forms.after import AppealAnswerForm, AppealBackForm, AppealForm
from academy.assessment.models import Appeal, Assessment
from academy.assessment.services.appealing import (
    answer_appeal,
    appeal,
    why_it_runs_on,
    withdraw_appeal,
)
from academy.audit import sentences
from academy.audit.queries import history_of
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.assessment.models import AppealQuerySet
    from academy.people.acting import Acting, ActingRequest

READERS = (Role.APPRENTICE, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)


def _visible(who: Acting) -> AppealQuerySet:
    return Appeal.objects.visible_to(who.person, who.academy).for_list()


@require_safe
@acting(*READERS)
def appeal_list(request: ActingRequest) -> HttpResponse:
    """Open ones first, the earliest day for an answer on top."""
    who = request.acting
    closed = Coalesce("answer__at", "withdrawal__at")
    rows = _visible(who).order_by(closed.desc(nulls_first=True), "answer_by", "pk")
    if who.role == Role.APPRENTICE:
        rows = rows.filter(apprentice=who.person)
    terms = Terms.of(who.academy)
    page = page_of(request, rows)
    listed = [(row, terms.left_words(row.answer_by)) for row in page.object_list]
    context = {"page": page, "rows": listed, "own": who.role == Role.APPRENTICE, "terms": terms}
    return render(request, "assessment/appeal_list.html", context)


@require_safe
@acting(*READERS)
def appeal_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One appeal: what was written, the dates, where it stands, the answer, the history."""
    return _detail(request, _one(request, token))


@acting(Role.APPRENTICE)
def appeal_new(request: ActingRequest, token: str) -> HttpResponse:
    """Appeal against a "not yet" of one's own."""
    who = request.acting
    own = Assessment.objects.visible_to(who.person, who.academy).filter(apprentice=who.person)
    assessment = get_object_or_404(
        own.for_result().filter(state=Assessment.State.SUBMITTED), token=token
    )
    made = Appeal.objects.filter(assessment=assessment).first()
    if made is not None:
        return redirect("assessment:appeal-detail", who.academy.slug, made.token)
    form = AppealForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            made = appeal(
                assessment=assessment, apprentice=who.person, text=form.cleaned_data["text"]
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Sent to the verifier. Somebody else looks at the head.")
            return redirect("assessment:appeal-detail", who.academy.slug, made.token)
    terms = Terms.of(who.academy)
    last = terms.appeal_until(assessment)
    context = {
        "assessment": assessment,
        "form": form,
        "terms": terms,
        "last": last,
        "left": terms.left_words(last),
        "may": assessment.shown == "notyet" and last >= terms.today,
    }
    return render(request, "assessment/appeal_new.html", context)


@acting(Role.APPRENTICE)
def appeal_withdraw(request: ActingRequest, token: str) -> HttpResponse:
    """Take an appeal of one's own back, after asking; says why not where it runs on."""
    who = request.acting
    row = get_object_or_404(_visible(who).filter(apprentice=who.person), token=token)
    form = AppealBackForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            withdraw_appeal(appeal=row, apprentice=who.person, reason=form.cleaned_data["reason"])
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Taken back. The outcome is as before.")
            return redirect("assessment:appeal-detail", who.academy.slug, token)
    context = {"appeal": row, "form": form, "why_not": why_it_runs_on(row)}
    return render(request, "assessment/appeal_withdraw.html", context)


@acting(Role.VERIFIER)
def appeal_answer(request: ActingRequest, token: str) -> HttpResponse:
    """The verifier's answer. Who had a part in the head gets 403."""
    row = _one(request, token)
    if not rules.may_answer_appeal(request.acting.person, row):
        raise PermissionDenied
    form = AppealAnswerForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            answer_appeal(
                appeal=row,
                verifier=request.acting.person,
                reason=form.cleaned_data["reason"],
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Answered. It stands with its reason.")
            return redirect("assessment:appeal-detail", request.acting.academy.slug, token)
    return _detail(request, row, form)


def _detail(
    request: ActingRequest, row: Appeal, form: AppealAnswerForm | None = None
) -> HttpResponse:
    who = request.acting
    may = rules.may_answer_appeal(who.person, row) and row.state == Appeal.State.TO_ANSWER
    if form is None and may:
        form = AppealAnswerForm()
    own = row.apprentice_id == who.person.pk
    terms = Terms.of(who.academy)
    history = history_of(row._meta.label_lower, row.pk, academy_id=who.academy.pk)
    context = {
        "appeal": row,
        "state": row.state,
        "form": form,
        "left": terms.left_words(row.answer_by),
        "late": row.overdue(terms.today),
        "own": own,
        "may_withdraw": own and row.runs and not why_it_runs_on(row),
        "history": sentences.render(history),
    }
    return render(request, "assessment/appeal_detail.html", context)


def _one(request: ActingRequest, token: str) -> Appeal:
    return get_object_or_404(_visible(request.acting), token=token)
