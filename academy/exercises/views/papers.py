"""One paper for staff: who got what, the questions with their key, taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from academy.exercises import rules, services
from academy.exercises.models import Paper, Question
from academy.exercises.queries.deeds import PaperDeeds
from academy.exercises.queries.export import COLUMNS, lines_of
from academy.exercises.queries.follow_ups import outcomes_of
from academy.exercises.queries.keys import key_views
from academy.exercises.queries.results import ALL, FILTERS, results_of
from academy.exercises.queries.standing import counting
from academy.exercises.seeds import seed_words
from academy.exercises.services.draws import progress_of
from academy.people.acting import ActingRequest, acting
from academy.people.models import Person, Role
from academy.web.paging import page_of
from academy.web.tables import download

if TYPE_CHECKING:
    from django.db.models import QuerySet


def visible_paper(request: ActingRequest, token: str) -> Paper:
    papers = Paper.objects.visible_to(request.acting.person, request.acting.academy)
    papers = papers.for_list(request.acting.person).select_related("drawing", "follows")
    return get_object_or_404(papers, token=token)


def paper_url(name: str, paper: Paper) -> str:
    at = {"academy": paper.academy.slug, "token": paper.token}
    return reverse(f"exercises:{name}", kwargs=at)


@require_safe
@acting(*rules.SEES_RESULTS)
def paper_detail(request: ActingRequest, token: str) -> HttpResponse:
    paper = visible_paper(request, token)
    sets = request.acting.holds(Role.EDUCATOR)
    if request.htmx:
        drawing = {"paper": paper, "progress": progress_of(paper), "sets": sets}
        return render(request, "exercises/parts/drawing.html", drawing)
    results = results_of(paper)
    chosen = request.GET.get("show", ALL)
    chosen = chosen if chosen in FILTERS else ALL
    context = {
        "paper": paper,
        "seed": seed_words(paper.seed),
        "results": results,
        "page": page_of(request, [row for row in results.rows if row.fits(chosen)]),
        "filters": FILTERS,
        "chosen": chosen,
        "sets": sets,
        "enters": request.acting.holds(Role.EDUCATOR, Role.ASSESSOR),
        "can": PaperDeeds.of(paper, results),
        "progress": progress_of(paper),
        "follow_ups": paper.follow_ups.standing(),
        "outcomes": outcomes_of(paper) if paper.follows_id else None,
    }
    return render(request, "exercises/paper_detail.html", context)


@require_safe
@acting(*rules.SEES_RESULTS)
def paper_results(request: ActingRequest, token: str, form: str) -> HttpResponse:
    """The table of a paper as a file for spreadsheets."""
    paper = visible_paper(request, token)
    return download(paper.title, form, {"Results": [COLUMNS, *lines_of(results_of(paper))]})


@require_safe
@acting(Role.EDUCATOR)
def paper_preview(request: ActingRequest, token: str) -> HttpResponse:
    paper = visible_paper(request, token)
    own = _questions(paper).filter(apprentice__isnull=False)
    people = Person.objects.filter(pk__in=own.values("apprentice"))
    people = people.order_by("name", "pk")
    wanted = people.filter(token=request.GET.get("for", "")).first()
    person = wanted or people.first() if not paper.same_numbers else None
    rows = _questions(paper).filter(apprentice=person).order_by("position")
    context = {
        "paper": paper,
        "seed": seed_words(paper.seed),
        "people": people if not paper.same_numbers else [],
        "person": person,
        "views": key_views(row.question for row in counting(rows)),
    }
    return render(request, "exercises/paper_preview.html", context)


def _questions(paper: Paper) -> QuerySet[Question]:
    return Question.objects.filter(paper=paper, edition=paper.edition, attempt=1)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_withdraw(request: ActingRequest, token: str) -> HttpResponse:
    paper = visible_paper(request, token)
    if paper.withdrawn:
        return HttpResponseRedirect(paper_url("paper-detail", paper))
    if request.method == "POST":
        services.withdraw_paper(paper=paper, by=request.acting.person)
        messages.success(request, f"Withdrawn. Nobody answers \u201c{paper.title}\u201d any more.")
        return HttpResponseRedirect(paper_url("paper-detail", paper))
    sheets = paper.sheets.all()
    context = {
        "paper": paper,
        "handed_in": sheets.filter(submitted_at__isnull=False).count(),
        "open": sheets.filter(submitted_at__isnull=True).count(),
    }
    return render(request, "exercises/paper_withdraw.html", context)
