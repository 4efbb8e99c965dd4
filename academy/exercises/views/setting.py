"""Setting a paper: the form, a look at it with its key, and then the deed."""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.forms import PaperForm, with_row
from academy.exercises.queries.keys import key_views
from academy.exercises.views.papers import paper_url
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.craft.exercise.engine import Question

LOOK, SET = "look", "set"


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_new(request: ActingRequest) -> HttpResponse:
    academy, act = request.acting.academy, request.POST.get("act", "")
    if request.method != "POST":
        return _page(request, PaperForm(academy=academy, asked=request.GET))
    if act not in {LOOK, SET}:
        return _page(request, PaperForm(academy=academy, typed=with_row(request.POST, act)))
    form = PaperForm(request.POST, academy=academy)
    if not form.is_valid():
        return _page(request, form)
    try:
        return _look_or_set(request, form, act)
    except PaperError as refused:
        form.refuse(refused)
        return _page(request, form)


def _look_or_set(request: ActingRequest, form: PaperForm, act: str) -> HttpResponse:
    """Set what was looked at; whatever was changed after the look is shown again first."""
    academy, by, wanted = request.acting.academy, request.acting.person, form.wanted()
    drawn, name = services.draw_preview(academy=academy, by=by, wanted=wanted)
    looked_at = _digest(drawn)
    if act == LOOK or request.POST.get("looked_at") != looked_at:
        changed = act == SET and bool(request.POST.get("looked_at"))
        views = key_views(drawn)
        return _page(request, form, views=views, name=name, looked_at=looked_at, changed=changed)
    key = form.cleaned_data["key"]
    paper = services.set_paper(academy=academy, by=by, wanted=wanted, client_key=key)
    messages.success(request, f"Set. {paper.cohort} finds it under Exercises.")
    return HttpResponseRedirect(paper_url("paper-detail", paper))


def _page(request: ActingRequest, form: PaperForm, **more: Any) -> HttpResponse:
    blank = {"views": [], "name": "", "looked_at": "", "changed": False}
    return render(request, "exercises/paper_new.html", {"form": form, **blank, **more})


def _digest(drawn: list[Question]) -> str:
    return sha256("\n".join(question.identity for question in drawn).encode()).hexdigest()
