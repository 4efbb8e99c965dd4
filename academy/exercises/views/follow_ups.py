"""Setting each apprentice their own slips again: first who gets what, then the deed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.following import MOST_SLIPS, QUESTIONS_EACH, plan_of
from academy.exercises.forms import FollowUpForm
from academy.exercises.services.follow_ups import check_followable
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_follow_up(request: ActingRequest, token: str) -> HttpResponse:
    paper, by = visible_paper(request, token), request.acting.person
    try:
        check_followable(paper)
    except PaperError as refused:
        messages.error(request, refused.message)
        return HttpResponseRedirect(paper_url("paper-detail", paper))
    form = FollowUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            follow_up = services.set_follow_up(
                paper=paper, by=by, due_on=data["due_on"], client_key=data["key"]
            )
        except PaperError as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Set. Each finds their own slips under Exercises.")
            return HttpResponseRedirect(paper_url("paper-detail", follow_up))
    context = {
        "paper": paper,
        "form": form,
        "plan": plan_of(paper),
        "each": QUESTIONS_EACH,
        "slips": MOST_SLIPS,
        "most": QUESTIONS_EACH * MOST_SLIPS,
    }
    return render(request, "exercises/paper_follow_up.html", context)
