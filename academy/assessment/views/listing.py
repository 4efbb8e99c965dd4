"""Assessments to begin or go on with, and those that were submitted."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from django.db.models import Q
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from academy.assessment.again import after_not_yet
from academy.assessment.forms import StartForm
from academy.assessment.models import Assessment, AssessmentQuerySet, Booking
from academy.assessment.queries import place_of
from academy.assessment.services.scoring import start_assessment
from academy.curriculum.models import ModuleVersion
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest
    from academy.people.models import Academy, Person

# What a printed result sheet carries at its foot.
_FORM_NUMBER = re.compile(r"[Rr]0*(\d{1,12})")
FILTERS = {
    "": "All",
    "mine": "Marked by me",
    "notyet": "Not yet",
    "second": "Second look",
    "unread": "Not read by the apprentice",
    "withdrawn": "Withdrawn",
}


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER)
def assessment_list(request: ActingRequest) -> HttpResponse:
    """Own drafts, then everything submitted, newest first; by name, module or state.

    Heads of one's own stand among one's results, which do not tell what is undecided.
    """
    rows = Assessment.objects.visible_to(request.acting.person, request.acting.academy).for_list()
    drafts = rows.filter(state=Assessment.State.DRAFT, assessor=request.acting.person)
    submitted = rows.filter(state=Assessment.State.SUBMITTED)
    submitted = submitted.exclude(apprentice=request.acting.person)
    search, only = request.GET.get("q", "").strip(), request.GET.get("only", "")
    if search:
        words = Q(apprentice__name__icontains=search) | Q(module_version__title__icontains=search)
        printed = _FORM_NUMBER.fullmatch(search)
        submitted = submitted.filter(words | Q(pk=int(printed[1])) if printed else words)
    submitted = _only(submitted, only, request.acting.person)
    return render(
        request,
        "assessment/assessment_list.html",
        {
            "drafts": drafts,
            "page": page_of(request, submitted.order_by("-submitted_at")),
            "search": search,
            "only": only,
            "filters": FILTERS,
        },
    )


def _only(rows: AssessmentQuerySet, only: str, person: Person) -> AssessmentQuerySet:
    counting = Q(withdrawal__isnull=True)
    conditions = {
        "mine": Q(assessor=person),
        "notyet": Q(outcome__by_marks="not_yet") & counting,
        "second": Q(pk__in=Assessment.objects.waiting_for_second().values("pk")),
        "unread": Q(acknowledgement__isnull=True) & counting,
        "withdrawn": Q(withdrawal__isnull=False),
    }
    return rows.filter(conditions[only]) if only in conditions else rows


@acting(Role.ASSESSOR)
def assessment_new(request: ActingRequest) -> HttpResponse:
    """Begin a head: whom, in which module. `?apprentice=…&module=…` fills the form in."""
    academy, assessor = request.acting.academy, request.acting.person
    initial = {name: request.GET.get(name, "") for name in ("apprentice", "module")}
    form = StartForm(
        request.POST if request.method == "POST" else None,
        academy=academy,
        assessor=assessor,
        initial=initial,
    )
    if request.method == "POST" and form.is_valid():
        apprentice = form.cleaned_data["apprentice"]
        version = _version_on(academy, apprentice, form.cleaned_data["module"])
        if after_not_yet(academy, apprentice, version) is not None:
            # What that head has to obey stands on a page of its own, with the button to begin it.
            return redirect(
                "assessment:again", academy.slug, apprentice.token, version.module.token
            )
        try:
            assessment = start_assessment(
                academy=academy,
                assessor=assessor,
                apprentice=apprentice,
                version=version,
                booking=_booking(apprentice, version),
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            return redirect("assessment:assessment-score", academy.slug, assessment.token)
    return render(request, "assessment/assessment_new.html", {"form": form})


def _version_on(academy: Academy, apprentice: Person, published: ModuleVersion) -> ModuleVersion:
    """The edition the apprentice is on, which may be an older one."""
    place = place_of(academy, apprentice, published)
    return ModuleVersion.objects.select_related("module").get(pk=place.version)


def _booking(apprentice: Person, version: ModuleVersion) -> Booking | None:
    return Booking.objects.filter(
        apprentice=apprentice, module_version=version, state=Booking.State.BOOKED
    ).first()
