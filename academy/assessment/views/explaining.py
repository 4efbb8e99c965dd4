"""The page that explains an outcome, step by step, and decides it again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from academy.assessment import rules
from academy.assessment.blind import withheld
from academy.assessment.explained import Explained
from academy.assessment.models import Assessment
from academy.assessment.result_page import ResultPage
from academy.people.acting import acting

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting()
def outcome_explained(request: ActingRequest, token: str) -> HttpResponse:
    """For whoever may read the result sheet; an apprentice once the result is theirs to see."""
    who = request.acting
    rows = Assessment.objects.visible_to(who.person, who.academy).for_result()
    assessment = get_object_or_404(rows.filter(state=Assessment.State.SUBMITTED), token=token)
    page = ResultPage(assessment, standing=assessment.apprentice_id == who.person.pk)
    if withheld(assessment, who.person):
        raise Http404
    context = {
        "page": page,
        "explained": Explained(page.marked),
        "both_shown": rules.may_see_both_marks(who.person, assessment),
    }
    return render(request, "assessment/outcome_explained.html", context)
