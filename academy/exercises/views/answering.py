"""The apprentice answers: begin, keep each answer, hand in."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from academy.exercises import rules, services
from academy.exercises.errors import PaperError
from academy.exercises.models import AnswerSheet
from academy.exercises.queries.lists import own_row
from academy.exercises.queries.sheets import open_sheet
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from academy.exercises.queries.sheets import OpenSheet

END = "end"
_FIELD = re.compile(r"q([0-9]{1,3})-([a-z0-9_-]{1,40})")


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.APPRENTICE)
def paper_answer(request: ActingRequest, token: str) -> HttpResponse:
    paper, person = visible_paper(request, token), request.acting.person
    if not rules.may_answer(person, paper):
        raise PermissionDenied
    if request.method == "POST":
        try:
            services.start_sheet(paper=paper, apprentice=person)
        except PaperError as refused:
            messages.error(request, refused.message)
        return HttpResponseRedirect(paper_url("paper-answer", paper))
    row = own_row(paper, list(AnswerSheet.objects.filter(paper=paper, apprentice=person)))
    if row.open is None or paper.withdrawn:
        begins = not paper.withdrawn and (row.last is None or paper.repeats)
        context = {"row": row, "paper": paper, "can_begin": begins}
        return render(request, "exercises/paper_start.html", context)
    row.open.paper = paper
    return _question(request, open_sheet(row.open), request.GET.get("question"))


def _question(request: ActingRequest, sheet: OpenSheet, number: str | None) -> HttpResponse:
    asked = sheet.at(number)
    after = sheet.asked[asked.position] if asked.position < len(sheet.asked) else None
    context = {"sheet": sheet, "asked": asked, "after": after, "paper": sheet.sheet.paper}
    return render(request, "exercises/sheet_answer.html", context)


@require_POST
@acting(Role.APPRENTICE)
def sheet_keep(request: ActingRequest, token: str) -> HttpResponse:
    """Keep what was typed. htmx gets the reading of the field that changed, and the foot bar."""
    sheet = _own_sheet(request, token)
    try:
        services.keep_answers(sheet=sheet, by=request.acting.person, answers=_typed(request))
    except PaperError as refused:
        return _refused(request, sheet, refused)
    if request.htmx:
        return _reading(request, open_sheet(sheet), request.htmx.trigger_name, kept=True)
    to = request.POST.get("to", "")
    if to == END:
        return sheet_end(request, sheet)
    return HttpResponseRedirect(f"{paper_url('paper-answer', sheet.paper)}?question={to}")


def _refused(request: ActingRequest, sheet: AnswerSheet, refused: PaperError) -> HttpResponse:
    if request.htmx:
        name = str(request.htmx.trigger_name or "")
        context = {"note": f"id_{name}", "errors": [refused.message]}
        return render(request, "parts/reading.html", context)
    messages.error(request, refused.message)
    if sheet.handed_in:
        return redirect(sheet_url("sheet-detail", sheet))
    return redirect("exercises:paper-list", academy=request.acting.academy.slug)


@require_safe
@acting(Role.APPRENTICE)
def sheet_read(request: ActingRequest, token: str) -> HttpResponse:
    """How the text in one field reads, while it is typed. Nothing is kept, nothing is marked."""
    sheet = _own_sheet(request, token)
    typed = {name: str(text) for name, text in request.GET.items() if _FIELD.fullmatch(name)}
    if not typed:
        raise Http404
    name = next(iter(typed))
    return _reading(request, open_sheet(sheet, _fields(typed)), name)


def _reading(
    request: ActingRequest, sheet: OpenSheet, name: str | None, *, kept: bool = False
) -> HttpResponse:
    line = sheet.line(name or "")
    if line is None:
        raise Http404
    crib = sheet.asked[line.position - 1].crib_after(line) if kept else None
    context = {"line": line, "sheet": sheet, "kept": kept, "crib": crib}
    return render(request, "exercises/parts/line_note.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.APPRENTICE)
def sheet_hand_in(request: ActingRequest, token: str) -> HttpResponse:
    """Hand in; while lines are open a page says which, and asks once."""
    sheet = _own_sheet(request, token)
    if request.method != "POST":
        if sheet.handed_in:
            return redirect(sheet_url("sheet-detail", sheet))
        context = {"sheet": open_sheet(sheet), "paper": sheet.paper}
        return render(request, "exercises/sheet_hand_in.html", context)
    return _hand_in(request, sheet)


def sheet_end(request: ActingRequest, sheet: AnswerSheet) -> HttpResponse:
    """After the last question: straight to the marks, or to the page that names open lines."""
    if open_sheet(sheet).open:
        return redirect(sheet_url("sheet-hand-in", sheet))
    return _hand_in(request, sheet)


def _hand_in(request: ActingRequest, sheet: AnswerSheet) -> HttpResponse:
    try:
        services.hand_in(sheet=sheet, by=request.acting.person)
    except PaperError as refused:
        return _refused(request, sheet, refused)
    return redirect(sheet_url("sheet-detail", sheet))


def _own_sheet(request: ActingRequest, token: str) -> AnswerSheet:
    own = AnswerSheet.objects.for_sheet().filter(
        academy=request.acting.academy, apprentice=request.acting.person
    )
    return get_object_or_404(own, token=token)


def sheet_url(name: str, sheet: AnswerSheet) -> str:
    at = {"academy": sheet.paper.academy.slug, "token": sheet.token}
    return reverse(f"exercises:{name}", kwargs=at)


def _typed(request: ActingRequest) -> dict[tuple[int, str], str]:
    return _fields({name: str(text) for name, text in request.POST.items()})


def _fields(texts: dict[str, str]) -> dict[tuple[int, str], str]:
    found = ((_FIELD.fullmatch(name), text) for name, text in texts.items())
    return {(int(name[1]), name[2]): text for name, text in found if name}
