"""Reference heads: written, published, marked, compared; feedback texts rated."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from academy.assessment.blind import heads_kept_from
from academy.assessment.forms.photos import ReferencePhotoForm
from academy.assessment.forms.standardising import AgreedForm, RatingForm, ReferenceForm
from academy.assessment.models import (
    Assessment,
    Feedback,
    FeedbackRating,
    ReferenceHead,
    ReferenceMarking,
)
from academy.assessment.score_head import ScoreHead, zone_middles
from academy.assessment.services import standardising
from academy.assessment.standardising import (
    Compared,
    feedback_means,
    may_see_agreed,
    over_assessors,
    submitted_markings,
)
from academy.assessment.views.chair import safe
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest
    from academy.web.forms import BlockworkForm


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER)
def reference_list(request: ActingRequest) -> HttpResponse:
    """Reference heads; for educators and verifiers how assessors differ over all of them."""
    academy = request.acting.academy
    rows = ReferenceHead.objects.filter(academy=academy).select_related("module_version")
    if not request.acting.holds(Role.EDUCATOR):
        rows = rows.filter(published_at__isnull=False)
    own = {
        marking.reference_id: marking.assessment
        for marking in ReferenceMarking.objects.filter(
            assessor=request.acting.person, reference__academy=academy
        ).select_related("assessment")
    }
    page = page_of(request, rows.order_by("-made_at", "-pk"))
    # A table over assessors is for who compares them, and gives nothing of one head away.
    compares = request.acting.role in (Role.EDUCATOR, Role.VERIFIER)
    return render(
        request,
        "assessment/reference_list.html",
        {
            "page": page,
            "rows": [(row, own.get(row.pk)) for row in page.object_list],
            "compares": compares,
            "assessors": over_assessors(academy, submitted_markings(academy)) if compares else [],
            "means": feedback_means(academy) if compares else [],
        },
    )


@acting(Role.EDUCATOR)
def reference_new(request: ActingRequest) -> HttpResponse:
    """Begin a reference head: its module and name."""
    academy = request.acting.academy
    form = ReferenceForm(request.POST if request.method == "POST" else None, academy=academy)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            row = standardising.write_reference(
                academy=academy,
                by=request.acting.person,
                version=data["module"],
                name=data["name"],
                about=data["about"],
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            return redirect("assessment:reference-edit", academy.slug, row.token)
    return render(request, "assessment/reference_new.html", {"form": form})


@acting(Role.EDUCATOR)
def reference_edit(request: ActingRequest, token: str) -> HttpResponse:
    """The agreed levels with reasons and the faults; `publish` publishes them for good."""
    row = _reference(request, token)
    slug = request.acting.academy.slug
    if row.published_at is not None:
        return redirect("assessment:reference-detail", slug, token)
    form = AgreedForm(request.POST if request.method == "POST" else None, reference=row)
    if request.method == "POST" and form.is_valid():
        by = request.acting.person
        try:
            standardising.keep_reference(
                reference=row, by=by, levels=form.levels(), faults=form.faults()
            )
            if "publish" in request.POST:
                standardising.publish_reference(reference=row, by=by)
                messages.success(request, "Published. Assessors can mark it now.")
                return redirect("assessment:reference-detail", slug, token)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Kept. Nobody sees it until you publish it.")
            return redirect("assessment:reference-edit", slug, token)
    return edit_page(request, row, form=form)


def edit_page(request: ActingRequest, row: ReferenceHead, **forms: BlockworkForm) -> HttpResponse:
    """The page on which a reference head is written, with the forms that were sent."""
    # Bare: the page's script draws the faults as they stand in the fields.
    head = ScoreHead(view="left", zones=[], faults=[], chosen=None, pending=None)
    context = {
        "reference": row,
        "form": AgreedForm(None, reference=row),
        "photo_form": ReferencePhotoForm(),
        "figures": head.figures,
        "middles": zone_middles(),
        "views": [safe(svg) for svg in head.large],
        **forms,
    }
    return render(request, "assessment/reference_edit.html", context)


@require_POST
@acting(Role.ASSESSOR)
def reference_start(request: ActingRequest, token: str) -> HttpResponse:
    """An assessor begins a reference head, or goes on with it."""
    row = _reference(request, token)
    slug = request.acting.academy.slug
    try:
        draft = standardising.start_reference(reference=row, assessor=request.acting.person)
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("assessment:reference-list", slug)
    if draft.state == Assessment.State.SUBMITTED:
        return redirect("assessment:reference-detail", slug, token)
    return redirect("assessment:assessment-score", slug, draft.token)


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER)
def reference_detail(request: ActingRequest, token: str) -> HttpResponse:
    """A reference head: before marking what is told, afterwards the difference."""
    row, person = _reference(request, token), request.acting.person
    if row.published_at is None:
        if not request.acting.holds(Role.EDUCATOR):
            raise PermissionDenied("This reference head is not published yet.")
        return redirect("assessment:reference-edit", request.acting.academy.slug, token)
    own = row.markings.filter(assessor=person).select_related("assessment").first()
    submitted = own is not None and own.assessment.state == Assessment.State.SUBMITTED
    seen = may_see_agreed(row, person, assesses=request.acting.holds(Role.ASSESSOR))
    compares = seen and request.acting.role in (Role.EDUCATOR, Role.VERIFIER)
    markings = [one for one in submitted_markings(row.academy) if one.reference_id == row.pk]
    return render(
        request,
        "assessment/reference_detail.html",
        {
            "reference": row,
            "own": own.assessment if own else None,
            "compared": Compared(row, own.assessment) if own and submitted else None,
            "seen": seen,
            "levels": row.levels.all() if seen and not submitted else [],
            "assessors": over_assessors(row.academy, markings) if compares else [],
            "compares": compares,
            "may_mark": request.acting.role is Role.ASSESSOR and person.pk != row.made_by_id,
        },
    )


@acting(Role.EDUCATOR)
def feedback_rate(request: ActingRequest) -> HttpResponse:
    """One feedback text after the other, without names, rated 0 to 4."""
    person = request.acting.person
    texts = (
        Feedback.objects.filter(
            assessment__academy=request.acting.academy,
            assessment__state=Assessment.State.SUBMITTED,
            corrected_by__isnull=True,
        )
        .exclude(written_by=person)
        .exclude(assessment__in=_kept_from(request))
        .exclude(pk__in=FeedbackRating.objects.filter(educator=person).values("feedback"))
    )
    form = RatingForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        rated = get_object_or_404(texts, pk=_number(request.POST.get("text", "")))
        standardising.rate_feedback(feedback=rated, by=person, rating=form.cleaned_data["rating"])
        messages.success(request, "Rated.")
        return redirect("assessment:feedback-rate", request.acting.academy.slug)
    text = texts.select_related("assessment__module_version").order_by("-written_at").first()
    return render(
        request,
        "assessment/feedback_rate.html",
        {"row": text, "form": form, "left": texts.count()},
    )


def _kept_from(request: ActingRequest) -> list[int]:
    return list(heads_kept_from(request.acting.person, request.acting.academy))


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 19 else 0


def _reference(request: ActingRequest, token: str) -> ReferenceHead:
    rows = ReferenceHead.objects.filter(academy=request.acting.academy)
    return get_object_or_404(
        rows.select_related("academy", "made_by", "module_version__module").prefetch_related(
            "levels__criterion", "faults__fault", "photos"
        ),
        token=token,
    )
