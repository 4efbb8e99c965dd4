"""Product labels: the list, and entering one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from academy.curriculum import rules
from academy.curriculum.errors import CurriculumError
from academy.curriculum.forms.labels import LabelForm
from academy.curriculum.house import label_of
from academy.curriculum.models import ProductLabel
from academy.curriculum.services import enter_label
from academy.people.acting import acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting()
def label_list(request: ActingRequest) -> HttpResponse:
    rows = ProductLabel.objects.filter(academy=request.acting.academy).select_related("entered_by")
    context = {
        "labels": [(row, label_of(row)) for row in rows],
        "writes": rules.may_write(request.acting),
    }
    return render(request, "curriculum/label_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def label_new(request: ActingRequest) -> HttpResponse:
    return _label_form(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def label_edit(request: ActingRequest, token: str) -> HttpResponse:
    row = get_object_or_404(ProductLabel, academy=request.acting.academy, token=token)
    return _label_form(request, row)


def _label_form(request: ActingRequest, row: ProductLabel | None) -> HttpResponse:
    initial = LabelForm.initial_of(label_of(row)) if row else None
    form = LabelForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        kept = (
            {"white_bands": row.fields["white_bands"]}
            if row and "white_bands" in row.fields
            else {}
        )
        try:
            made = enter_label(
                academy=request.acting.academy,
                by=request.acting.person,
                name=form.cleaned_data["name"],
                fields={**kept, **form.label_fields},
                label=row,
            )
        except CurriculumError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"{made.name}: the label is kept.")
            return redirect("curriculum:label-list", academy=request.acting.academy.slug)
    return render(request, "curriculum/label_form.html", {"form": form, "label": row})
