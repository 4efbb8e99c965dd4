"""The academy's house rules: what holds, changing a group, and every set there was."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from academy.curriculum import rules
from academy.curriculum.errors import CurriculumError
from academy.curriculum.forms.house import RuleGroupForm
from academy.curriculum.house import current_rule_set, house_of
from academy.curriculum.house_page import groups, set_rows
from academy.curriculum.services import make_rule_set
from academy.curriculum.views.common import posted_number
from academy.people.acting import acting
from academy.people.models import Role

if TYPE_CHECKING:
    from academy.people.acting import ActingRequest


@require_safe
@acting()
def rule_list(request: ActingRequest) -> HttpResponse:
    sets = set_rows(request.acting.academy)
    current = sets[0].rule_set if sets else None
    context = {
        "groups": groups(house_of(current)),
        "sets": sets,
        "current": current,
        "writes": rules.may_write(request.acting),
    }
    return render(request, "curriculum/rule_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def rule_change(request: ActingRequest, group: str) -> HttpResponse:
    current = current_rule_set(request.acting.academy)
    house = house_of(current)
    found = next((one for one in groups(house) if one.key == group and one.changeable), None)
    if found is None:
        raise Http404
    form = RuleGroupForm(request.POST or None, group=found, house=house)
    if request.method == "POST" and form.is_valid():
        try:
            made = make_rule_set(
                academy=request.acting.academy,
                by=request.acting.person,
                changes=form.changes,
                note=form.cleaned_data["note"],
                seen=posted_number(request, "seen"),
            )
        except CurriculumError as refused:
            form.refuse_each(refused)
        else:
            messages.success(request, f"House rules {made.number} hold from now on.")
            return redirect("curriculum:rule-list", academy=request.acting.academy.slug)
    context = {"group": found, "form": form, "seen": current.number if current else 0}
    return render(request, "curriculum/rule_change.html", context)
