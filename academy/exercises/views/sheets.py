"""The marked sheet, for its apprentice and for staff."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from academy.exercises import rules
from academy.exercises.models import AnswerSheet
from academy.exercises.queries.follow_ups import outcomes_on
from academy.exercises.queries.heads import head_symbols
from academy.exercises.queries.marked import marked_sheet
from academy.exercises.queries.verdicts import verdict_of
from academy.people.acting import ActingRequest, acting

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_safe
@acting()
def sheet_detail(request: ActingRequest, token: str) -> HttpResponse:
    person, academy = request.acting.person, request.acting.academy
    visible = AnswerSheet.objects.visible_to(person, academy).handed_in().for_sheet()
    sheet = get_object_or_404(visible, token=token)
    questions = marked_sheet(sheet)
    own = sheet.apprentice_id == person.pk
    solution = sheet.paper.shows_solution or not own
    context = {
        "sheet": sheet,
        "paper": sheet.paper,
        "questions": questions,
        "solution": solution,
        "has_head": solution and any(question.head for question in questions),
        "symbols": head_symbols(),
        "verdict": verdict_of(sheet, questions, named=solution),
        "own": own,
        "slips": outcomes_on(sheet),
        "remarks": list(sheet.remarks.select_related("remarking__rule_set").order_by("pk")),
        "again": own and sheet.paper.repeats and rules.may_answer(person, sheet.paper),
    }
    return render(request, "exercises/sheet_detail.html", context)
