"""The apprentice answers: begin, keep each answer, hand in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from academy.craft.measure import NONE, Spot
from academy.exercises import rules, services
from academy.exercises.errors import PaperError
from academy.exercises.models import AnswerSheet
from academy.exercises.queries.heads import nudged, zone_middles
from academy.exercises.queries.lists import own_row
from academy.exercises.queries.sheets import open_sheet
from academy.exercises.typed import Sent, field_at, sent_in
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from academy.exercises.queries.lines import Line
    from academy.exercises.queries.sheets import OpenSheet
    from academy.exercises.services.keeping import Typed

END = "end"


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
        ended = paper.withdrawn or paper.closed
        begins = not ended and (row.last is None or paper.repeats)
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
    """Keep one question as a whole, and go where the button says: the way without script."""
    sheet = _own_sheet(request, token)
    sent, post = sent_in(request.POST), request.POST
    to, choice = post.get("to", ""), field_at(post.get("theirs", ""))
    if choice is not None:
        sent.without(choice)
    try:
        stale = services.keep_answers(
            sheet=sheet, by=request.acting.person, answers=sent.texts, came=sent.came
        )
        if line := _pressed(post.get("none") or post.get("middle") or post.get("nudge"), sheet):
            text = _by_button(line, post)
            answers = {(line.position, line.field.key): text}
            services.keep_answers(sheet=sheet, by=request.acting.person, answers=answers)
            to = to or str(line.position)
    except PaperError as refused:
        return _refused(request, sheet, refused, sent.texts if to == END else None)
    if stale:
        late = {at: sent.texts[at] for at in stale}
        return _question(request, open_sheet(sheet, late, stale), str(min(stale)[0]))
    if to == END:
        return sheet_end(request, sheet)
    here = to or (str(choice[0]) if choice else "")
    return HttpResponseRedirect(f"{paper_url('paper-answer', sheet.paper)}?question={here}")


def _pressed(value: str | None, sheet: AnswerSheet) -> Line | None:
    """The line that a button beside it means: "q2-check", or "q2-corner up"."""
    name = (value or "").partition(" ")[0]
    return open_sheet(sheet).line(name) if name else None


def _by_button(line: Line, post: dict[str, str]) -> str:
    """What stands in a line after one of its buttons was pressed."""
    if "none" in post:
        return "" if line.none_pressed else NONE
    if "middle" in post:
        chosen = post.get(f"zone-{line.name}", "")
        return chosen if chosen in {text for _, text in zone_middles()} else line.written
    way = post["nudge"].partition(" ")[2]
    if not isinstance(line.spot, Spot) or way not in {"up", "down", "left", "right"}:
        return line.written
    return nudged(line.spot, line.written, way)


@require_POST
@acting(Role.APPRENTICE)
def sheet_outbox(request: ActingRequest, token: str) -> HttpResponse:
    """Keep what a page has collected; tells it of each field what stands there now.

    Also answers when nothing was sent: then the page knows that it reaches the site. 409 with a
    sentence where the sheet takes nothing any more.
    """
    sheet = _own_sheet(request, token)
    sent = sent_in(request.POST)
    try:
        stale = services.keep_answers(
            sheet=sheet, by=request.acting.person, answers=sent.texts, came=sent.came
        )
    except PaperError as refused:
        return JsonResponse({"refused": refused.message}, status=409)
    late = {at: sent.texts[at] for at in stale}
    return JsonResponse({"lines": _told(open_sheet(sheet, late, stale), sent)})


def _told(sheet: OpenSheet, sent: Sent) -> dict[str, dict[str, object]]:
    lines = (line for asked in sheet.asked for line in asked.lines)
    return {
        line.name: {
            "stands": line.known,
            "stale": line.stands is not None,
            "note": render_to_string("exercises/parts/line_note.html", {"line": line}).strip(),
        }
        for line in lines
        if (line.position, line.field.key) in sent.texts
    }


def _refused(
    request: ActingRequest, sheet: AnswerSheet, refused: PaperError, last: Typed | None = None
) -> HttpResponse:
    """Say why. Who pressed "Hand in" twice is told nothing: their `last` texts were taken."""
    sheet.refresh_from_db(fields=["submitted_at"])
    if not (sheet.handed_in and last is not None and _stands(sheet, last)):
        messages.error(request, refused.message)
    if sheet.handed_in:
        return redirect(sheet_url("sheet-detail", sheet))
    return redirect("exercises:paper-list", academy=request.acting.academy.slug)


def _stands(sheet: AnswerSheet, texts: Typed) -> bool:
    """Whether each of these texts is the one that was kept."""
    lines = (line for asked in open_sheet(sheet).asked for line in asked.lines)
    known = {(line.position, line.field.key): line.known for line in lines}
    return all(known.get(at, "") == text for at, text in texts.items())


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
