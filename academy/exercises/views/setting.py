"""Setting a paper or changing one: the form, a look at it with its key, and then the deed."""

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
from academy.exercises.models import Paper
from academy.exercises.queries.keys import key_views
from academy.exercises.services.papers import check_editable
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.craft.exercise.engine import Question

LOOK, SET = "look", "set"


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_new(request: ActingRequest) -> HttpResponse:
    """A new paper; `?from=` names one to begin like."""
    return _form(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_edit(request: ActingRequest, token: str) -> HttpResponse:
    """The same form over a paper that nobody has begun."""
    paper = visible_paper(request, token)
    try:
        check_editable(paper)
    except PaperError as refused:
        messages.error(request, refused.message)
        return HttpResponseRedirect(paper_url("paper-detail", paper))
    return _form(request, paper)


def _form(request: ActingRequest, editing: Paper | None) -> HttpResponse:
    academy, act = request.acting.academy, request.POST.get("act", "")
    if request.method != "POST":
        like = _like(request) if editing is None else None
        form = PaperForm(academy=academy, asked=request.GET, like=like, editing=editing)
        return _page(request, form, editing, like=like)
    if act not in {LOOK, SET}:
        typed = with_row(request.POST, act)
        return _page(request, PaperForm(academy=academy, typed=typed), editing)
    form = PaperForm(request.POST, academy=academy)
    if not form.is_valid():
        return _page(request, form, editing)
    try:
        return _look_or_set(request, form, act, editing)
    except PaperError as refused:
        form.refuse(refused)
        return _page(request, form, editing)


def _like(request: ActingRequest) -> Paper | None:
    papers = Paper.objects.visible_to(request.acting.person, request.acting.academy)
    found = papers.filter(follows__isnull=True, token=request.GET.get("from", ""))
    return found.select_related("cohort", "module_version").first()


def _look_or_set(
    request: ActingRequest, form: PaperForm, act: str, editing: Paper | None
) -> HttpResponse:
    """Set what was looked at; whatever was changed after the look is shown again first."""
    academy, by, wanted = request.acting.academy, request.acting.person, form.wanted()
    drawn, name = services.draw_preview(academy=academy, by=by, wanted=wanted, editing=editing)
    looked_at = _digest(drawn)
    if act == LOOK or request.POST.get("looked_at") != looked_at:
        seen = {
            "views": key_views(drawn),
            "name": name,
            "looked_at": looked_at,
            "changed": act == SET and bool(request.POST.get("looked_at")),
        }
        return _page(request, form, editing, **seen)
    key = form.cleaned_data["key"]
    if editing is None:
        paper = services.set_paper(academy=academy, by=by, wanted=wanted, client_key=key)
        said = f"Set. {paper.cohort} finds it under Exercises."
    else:
        edition = form.cleaned_data["edition"] or 0
        paper = services.edit_paper(
            paper=editing, by=by, wanted=wanted, edition=edition, client_key=key
        )
        said = f"Changed. {paper.cohort} finds the new questions under Exercises."
    messages.success(request, said)
    return HttpResponseRedirect(paper_url("paper-detail", paper))


def _page(
    request: ActingRequest, form: PaperForm, editing: Paper | None, **more: Any
) -> HttpResponse:
    blank: dict[str, Any] = {
        "like": None,
        "views": [],
        "name": "",
        "looked_at": "",
        "changed": False,
    }
    context = {"form": form, "editing": editing, **blank, **more}
    return render(request, "exercises/paper_new.html", context)


def _digest(drawn: list[Question]) -> str:
    return sha256("\n".join(question.identity for question in drawn).encode()).hexdigest()
