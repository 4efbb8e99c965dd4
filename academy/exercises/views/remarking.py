"""Marking a paper again: whose marks change under the rules of today, and then the deed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django import forms
from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _, ngettext
from django.views.decorators.http import require_http_methods

from academy.curriculum.house import current_rule_set, rules_of
from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.remarking import remarked
from academy.exercises.services.remarking import LONGEST_REASON
from academy.exercises.views.papers import paper_url, visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from django.http import HttpResponse


class MarkAgainForm(BlockworkForm):
    """What was wrong, and which rules the preview was made under."""

    deed = _("can be marked again")

    reason = forms.CharField(
        label=_("What was wrong"),
        max_length=LONGEST_REASON,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Each apprentice whose marks change reads it on the marked sheet."),
    )
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def paper_mark_again(request: ActingRequest, token: str) -> HttpResponse:
    paper, by = visible_paper(request, token), request.acting.person
    rule_set = current_rule_set(paper.academy)
    number = rule_set.number if rule_set else 0
    form = MarkAgainForm(request.POST or None, initial={"seen": number})
    if request.method == "POST" and form.is_valid():
        try:
            row = services.remark_paper(paper=paper, by=by, **form.cleaned_data)
        except PaperError as refused:
            form.refuse(refused)
        else:
            n = row.sheets.count()
            words = ngettext("Marked again: %d sheet.", "Marked again: %d sheets.", n)
            messages.success(request, words % n)
            return HttpResponseRedirect(paper_url("paper-detail", paper))
    context = {"paper": paper, "form": form, "number": number, "found": None}
    try:
        context["found"] = remarked(paper, rules_of(rule_set))
    except PaperError as refused:
        form.refuse(refused)
    context["before"] = list(paper.remarkings.select_related("rule_set", "by"))
    return render(request, "exercises/paper_mark_again.html", context)
