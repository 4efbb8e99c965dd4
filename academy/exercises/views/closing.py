"""Ending a test for everybody, and letting a worker draw again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_POST

from academy.exercises import rules, services
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_close(request: ActingRequest, token: str) -> HttpResponse:
    paper = visible_paper(request, token)
    if not rules.may_close(paper):
        return HttpResponseRedirect(paper_url("paper-detail", paper))
    if request.method == "POST":
        services.close_paper(paper=paper, by=request.acting.person)
        messages.success(request, "Closed. Every marked sheet shows its solution now.")
        return HttpResponseRedirect(paper_url("paper-detail", paper))
    sheets = paper.sheets.all()
    context = {
        "paper": paper,
        "handed_in": sheets.filter(submitted_at__isnull=False).count(),
        "open": sheets.filter(submitted_at__isnull=True).count(),
    }
    return render(request, "exercises/paper_close.html", context)


@require_POST
@acting(Role.EDUCATOR)
def paper_draw(request: ActingRequest, token: str) -> HttpResponse:
    paper = visible_paper(request, token)
    services.draw_again(paper=paper, by=request.acting.person)
    return HttpResponseRedirect(paper_url("paper-detail", paper))
