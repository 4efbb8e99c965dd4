"""Paper answers typed in by staff: find the form, type, hand in, go on with the next one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.form_numbers import form_number
from academy.exercises.models import AnswerSheet
from academy.exercises.queries.entering import Found, find, form_of, missing_on
from academy.exercises.queries.marked import marked_sheet
from academy.exercises.queries.verdicts import verdict_of
from academy.exercises.typed import sent_in
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Person, Role
from academy.web.paging import page_of

if TYPE_CHECKING:
    from academy.exercises.models import Paper
    from academy.exercises.queries.entering import Form, Missing

HAND_IN, BACK = "hand-in", "back"


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR, Role.ASSESSOR)
def paper_enter(request: ActingRequest, token: str) -> HttpResponse:
    """Who is missing. A post finds somebody by form number or name; it changes nothing."""
    paper = visible_paper(request, token)
    missing = missing_on(paper, request.acting.person)
    found = Found()
    if request.method == "POST":
        found = find(paper, request.POST.get("find", ""), missing)
        if len(found.people) == 1:
            return HttpResponseRedirect(enter_url(paper, found.people[0]))
    shown = [row for row in missing if row.person in found.people] if found.people else missing
    context = {
        "paper": paper,
        "missing": missing,
        "page": page_of(request, shown),
        "found": found,
        "typed": request.POST.get("find", ""),
        "next": _next(missing, request.GET.get("after", "")),
        **_done(request, paper),
    }
    return render(request, "exercises/paper_enter.html", context)


def _done(request: ActingRequest, paper: Paper) -> dict[str, object]:
    """The sheet that was just handed in, marked."""
    sheets = AnswerSheet.objects.filter(paper=paper, entered_by__isnull=False).handed_in()
    sheet = sheets.for_sheet().filter(token=request.GET.get("done", "")).first()
    if sheet is None:
        return {"done": None}
    questions = marked_sheet(sheet)
    return {"done": sheet, "questions": questions, "verdict": verdict_of(sheet, questions)}


def _next(missing: list[Missing], after: str) -> Missing | None:
    """Who comes next by name: after the place that was handed in, else the first."""
    place = int(after) if after.isascii() and after.isdigit() and len(after) < 6 else 0
    ready = [(n, row) for n, row in enumerate(missing) if row.drawn]
    return next((row for n, row in ready if n >= place), ready[0][1] if ready else None)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR, Role.ASSESSOR)
def sheet_enter(request: ActingRequest, token: str, person: str) -> HttpResponse:
    """All fields of one form. htmx gets how a field reads; a post keeps, hands in or gives back."""
    paper = visible_paper(request, token)
    apprentice = get_object_or_404(Person, cohort_places__cohort=paper.cohort_id, token=person)
    if request.method == "POST":
        return _write(request, paper, apprentice)
    sheets = AnswerSheet.objects.filter(paper=paper, apprentice=apprentice)
    sheet = sheets.order_by("-attempt").first()
    if sheet is not None and (sheet.handed_in or sheet.attempt > 1):
        messages.error(request, f"{apprentice.name} has handed in this paper already.")
        return HttpResponseRedirect(paper_url("paper-enter", paper))
    if request.htmx:
        texts = sent_in(request.GET).texts
        name = next((f"q{position}-{key}" for position, key in texts), "")
        return _note(request, form_of(paper, apprentice, sheet, texts), name, kept=False)
    form = form_of(paper, apprentice, sheet)
    if not form.questions:
        messages.error(
            request, f"{apprentice.name} has no questions of this paper yet. Print it first."
        )
        return HttpResponseRedirect(paper_url("paper-enter", paper))
    context = {
        "paper": paper,
        "person": apprentice,
        "number": form_number(paper, apprentice),
        "sheet": sheet,
        "form": form,
        "theirs": sheet is not None and sheet.entered_by_id is None,
    }
    return render(request, "exercises/sheet_enter.html", context)


def _write(request: ActingRequest, paper: Paper, apprentice: Person) -> HttpResponse:
    by, act = request.acting.person, request.POST.get("act", "")
    answers = sent_in(request.POST).texts
    try:
        if act == BACK:
            services.give_back(paper=paper, apprentice=apprentice, by=by)
            return HttpResponseRedirect(paper_url("paper-enter", paper))
        if act == HAND_IN:
            place = _place_of(paper, apprentice, by)
            sheet = services.hand_in_entered(
                paper=paper, apprentice=apprentice, by=by, answers=answers
            )
            where = paper_url("paper-enter", paper)
            return HttpResponseRedirect(f"{where}?done={sheet.token}&after={place}")
        sheet = services.keep_entered(paper=paper, apprentice=apprentice, by=by, answers=answers)
    except PaperError as refused:
        if request.htmx:
            context = {"note": f"id_{request.htmx.trigger_name}", "errors": [refused.message]}
            return render(request, "parts/reading.html", context)
        messages.error(request, refused.message)
        return HttpResponseRedirect(paper_url("paper-enter", paper))
    if request.htmx:
        name = str(request.htmx.trigger_name or "")
        return _note(request, form_of(paper, apprentice, sheet), name, kept=True)
    return HttpResponseRedirect(enter_url(paper, apprentice))


def _place_of(paper: Paper, apprentice: Person, by: Person) -> int:
    people = [row.person for row in missing_on(paper, by)]
    return people.index(apprentice) if apprentice in people else 0


def _note(request: ActingRequest, form: Form, name: str, *, kept: bool) -> HttpResponse:
    """How the field of this name reads; with it, once kept, how many lines are open."""
    line = form.line(name)
    if line is None:
        raise Http404
    context = {"line": line, "form": form, "kept": kept}
    return render(request, "exercises/parts/entered_note.html", context)


def enter_url(paper: Paper, person: Person) -> str:
    at = {"academy": paper.academy.slug, "token": paper.token, "person": person.token}
    return reverse("exercises:sheet-enter", kwargs=at)
