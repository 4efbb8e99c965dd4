"""A paper as PDF: ask for it, wait for it, fetch it."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.models import PaperPrint
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role
from academy.web.models import JobState

SHOWN = 10
KINDS = [
    {
        "what": PaperPrint.What.PAPERS,
        "title": _("The papers"),
        "holds": _("A4, one after the other in one PDF."),
        "act": _("Make the papers"),
    },
    {
        "what": PaperPrint.What.KEY,
        "title": _("The answer key"),
        "holds": _("The right answers alone, a paper to a page."),
        "act": _("Make the key"),
    },
    {
        "what": PaperPrint.What.GUIDE,
        "title": _("The marking guide"),
        "holds": _("Worked solutions, tolerances, slips and what carries over."),
        "act": _("Make the guide"),
    },
]


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_print(request: ActingRequest, token: str) -> HttpResponse:
    """The prints of a paper; a post asks for one. htmx gets the list alone, while it waits."""
    paper = visible_paper(request, token)
    if request.method == "POST":
        wanted = request.POST.get("what", "")
        what = wanted if wanted in PaperPrint.What.values else PaperPrint.What.PAPERS
        try:
            services.ask_print(paper=paper, by=request.acting.person, what=what)
        except PaperError as refused:
            messages.error(request, refused.message)
        return HttpResponseRedirect(paper_url("paper-print", paper))
    prints = list(paper.prints.select_related("job", "asked_by")[:SHOWN])
    waiting = any(p.state in {JobState.WAITING, JobState.RUNNING} for p in prints)
    context = {"paper": paper, "prints": prints, "waiting": waiting, "kinds": KINDS}
    part = "exercises/parts/prints.html"
    whole = "exercises/paper_print.html"
    return render(request, part if request.htmx else whole, context)


@require_safe
@acting(Role.EDUCATOR)
def print_download(request: ActingRequest, token: str) -> HttpResponse:
    prints = PaperPrint.objects.filter(paper__academy=request.acting.academy).exclude(file="")
    row = get_object_or_404(prints.select_related("paper"), token=token)
    name = slugify(row.paper.title) or "paper"
    try:
        with row.file.open("rb") as kept:
            answer = HttpResponse(kept.read(), content_type="application/pdf")
    except FileNotFoundError as gone:
        raise Http404 from gone
    answer["Content-Disposition"] = f'attachment; filename="{name}-{row.what}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer
