"""Two marks of one head: side by side, the verifier's ruling, and the ruling afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.assessment import rules
from academy.assessment.forms.looking import RulingForm
from academy.assessment.models import Ruling
from academy.assessment.pairs import WAITS, Pair, pairs_of, waits_first
from academy.assessment.services.ruling import rule
from academy.audit.queries import history_of
from academy.audit.sentences import render as render_entries
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)
def pair_list(request: ActingRequest) -> HttpResponse:
    """Heads with two marks, those that wait for a ruling first; assessors see their own."""
    person = request.acting.person
    rows = waits_first(pairs_of(request.acting.academy).exclude(apprentice=person))
    if not request.acting.holds(Role.EDUCATOR, Role.VERIFIER, Role.MANAGER):
        rows = rows.filter(Q(assessor=person) | Q(second_of__assessor=person))
    if search := request.GET.get("q", "").strip():
        rows = rows.filter(apprentice__name__icontains=search)
    page = page_of(request, rows)
    return render(
        request,
        "assessment/pair_list.html",
        {
            "page": page,
            "pairs": [Pair(row) for row in page.object_list],
            "search": search,
            "waiting": rows.filter(WAITS).count(),
        },
    )


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)
def pair_detail(request: ActingRequest, token: str) -> HttpResponse:
    """Levels by criterion and zone and the faults of both, differences marked."""
    pair = _pair(request, token)
    return render(
        request,
        "assessment/pair_detail.html",
        {
            "pair": pair,
            "head": pair.head,
            "may_rule": pair.waits
            and rules.may_rule(request.acting.person, pair.first, pair.second),
        },
    )


@acting(Role.VERIFIER)
def ruling_new(request: ActingRequest, token: str) -> HttpResponse:
    """Confirm one mark with a written reason, or ask for one more head."""
    pair = _pair(request, token)
    if not rules.may_rule(request.acting.person, pair.first, pair.second):
        raise PermissionDenied("You gave one of the two marks. Another verifier has to rule.")
    slug = request.acting.academy.slug
    if not pair.waits:
        return redirect("assessment:pair-detail", slug, token)
    form = RulingForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            rule(
                first=pair.first,
                second=pair.second,
                verifier=request.acting.person,
                **form.cleaned_data,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Ruled. Both marks stay as they are; the ruling stands.")
            return redirect("assessment:ruling-detail", slug, token)
    return render(
        request, "assessment/ruling_new.html", {"pair": pair, "head": pair.head, "form": form}
    )


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)
def ruling_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One ruling: what was decided and why, on which marks, and the history of both.

    With the ruling the second mark is blind no more, so when it was given is told too.
    """
    pair = _pair(request, token)
    ruling = get_object_or_404(Ruling.objects.select_related("verifier"), first=pair.first)
    both = (pair.first.pk, pair.second.pk)
    history = history_of("assessment.assessment", *both, academy_id=request.acting.academy.pk)
    return render(
        request,
        "assessment/ruling_detail.html",
        {"pair": pair, "ruling": ruling, "history": render_entries(history)},
    )


def _pair(request: ActingRequest, token: str) -> Pair:
    """The pair of the first mark with this token; 403 for who may not compare it."""
    pair = Pair(get_object_or_404(pairs_of(request.acting.academy), second_of__token=token))
    if not rules.may_compare(request.acting.person, pair.first, pair.second):
        raise PermissionDenied("Only the two assessors and whoever verifies compare these marks.")
    return pair
