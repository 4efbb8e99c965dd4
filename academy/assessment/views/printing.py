"""A result sheet as PDF: ask for it, wait for it, fetch it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from academy.assessment.models import Assessment, ResultPrint
from academy.assessment.services.printing import ask_result_print
from academy.assessment.views.results import submitted_one
from academy.people.acting import acting
from academy.web.models import JobState
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from academy.people.acting import ActingRequest

SHOWN = 5


@require_http_methods(["GET", "HEAD", "POST"])
@acting()
def result_print(request: ActingRequest, token: str) -> HttpResponse:
    """The prints of a sheet; a post asks for one. htmx gets the list alone, while it waits."""
    assessment = submitted_one(request, token)
    if request.method == "POST":
        try:
            ask_result_print(assessment=assessment, by=request.acting.person)
        except Refused as refused:
            messages.error(request, refused.message)
        return redirect("assessment:result-print", request.acting.academy.slug, token)
    rows = _readable(request).filter(assessment=assessment).select_related("job", "asked_by")
    prints = list(rows[:SHOWN])
    context = {
        "assessment": assessment,
        "prints": prints,
        "waiting": any(row.state in {JobState.WAITING, JobState.RUNNING} for row in prints),
    }
    part, whole = "assessment/parts/result_prints.html", "assessment/result_print.html"
    return render(request, part if request.htmx else whole, context)


@require_safe
@acting()
def result_download(request: ActingRequest, token: str) -> HttpResponse:
    row = get_object_or_404(_readable(request).exclude(file=""), token=token)
    try:
        with row.file.open("rb") as kept:
            answer = HttpResponse(kept.read(), content_type="application/pdf")
    except FileNotFoundError as gone:
        raise Http404 from gone
    answer["Content-Disposition"] = 'attachment; filename="result-sheet.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def _readable(request: ActingRequest) -> QuerySet[ResultPrint, ResultPrint]:
    """The prints of the sheets that somebody may read now, whoever asked for them.

    Of their own head an apprentice sees those they asked for themselves, for staff may print a
    sheet that is still being looked at, and none while it is looked at again.
    """
    who = request.acting
    seen = Assessment.objects.visible_to(who.person, who.academy)
    own = Q(assessment__apprentice=who.person)
    undecided = Assessment.objects.filter(apprentice=who.person).withheld().order_by()
    return ResultPrint.objects.filter(
        ~own | Q(asked_by=who.person), assessment__in=seen.order_by().values("pk")
    ).exclude(assessment__in=undecided.values("pk"))
