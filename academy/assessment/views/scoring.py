"""Marking a head at the chair: the page, and one small address for each touch."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from academy.assessment.errors import AssessmentError
from academy.assessment.forms import FaultForm, NotesForm, ReasonForm, StopForm, chosen_fault
from academy.assessment.models import Assessment, FaultMark
from academy.assessment.score_page import ScorePage, place_of
from academy.assessment.services import scoring
from academy.craft.head.sheet import Place, locate, nudge, zone_centre
from academy.craft.head.zones import Zone
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.http import HttpResponse

    from academy.curriculum.models import Criterion
    from academy.people.acting import ActingRequest

NUDGE_MM = 5.0


@require_safe
@acting(Role.ASSESSOR)
def score(request: ActingRequest, token: str) -> HttpResponse:
    """The draft with one zone in hand; a submitted one leads to its result sheet."""
    assessment = _own(request, token)
    if assessment.state == Assessment.State.SUBMITTED:
        return redirect("assessment:result-detail", request.acting.academy.slug, assessment.token)
    return _page(request, assessment)


@require_POST
@acting(Role.ASSESSOR)
def level(request: ActingRequest, token: str) -> HttpResponse:
    """One level (`criterion`, `zone`, `level`), or all levels of a form without script."""
    assessment = _own(request, token)

    def touch() -> None:
        for name in request.POST:
            if name.startswith("level-") and name.count("-") == 2:
                _, code, zone = name.split("-")
                value = str(request.POST[name])
                scoring.set_level(
                    assessment=assessment,
                    by=request.acting.person,
                    criterion=_criterion(assessment, code),
                    zone=zone,
                    level=int(value) if value.isdigit() else -1,
                )

    return _touched(request, assessment, touch)


@require_POST
@acting(Role.ASSESSOR)
def overall(request: ActingRequest, token: str) -> HttpResponse:
    assessment = _own(request, token)
    value = request.POST.get("overall", "")
    rating = int(value) if value.isdigit() else 0
    return _touched(
        request,
        assessment,
        lambda: scoring.set_overall(assessment=assessment, by=request.acting.person, rating=rating),
    )


@require_POST
@acting(Role.ASSESSOR)
def notes(request: ActingRequest, token: str) -> HttpResponse:
    """Minutes used and the free note."""
    assessment = _own(request, token)
    form = NotesForm(request.POST)
    if not form.is_valid():
        return _page(request, assessment, notes_form=form)
    return _touched(
        request,
        assessment,
        lambda: scoring.set_notes(
            assessment=assessment,
            by=request.acting.person,
            minutes_used=form.cleaned_data["minutes_used"],
            note=form.cleaned_data["note"],
        ),
    )


@require_POST
@acting(Role.ASSESSOR)
def zone_out(request: ActingRequest, token: str) -> HttpResponse:
    """Leave the zone in hand out today, with a reason; or take it in again."""
    assessment = _own(request, token)
    zone, by = request.POST.get("zone", ""), request.acting.person
    if "take_in" in request.POST:
        return _touched(
            request,
            assessment,
            lambda: scoring.take_zone_in(assessment=assessment, by=by, zone=zone),
        )
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _page(request, assessment, zone_form=form)
    reason = form.cleaned_data["reason"]
    return _touched(
        request,
        assessment,
        lambda: scoring.leave_zone_out(assessment=assessment, by=by, zone=zone, reason=reason),
    )


@require_POST
@acting(Role.ASSESSOR)
def fault_new(request: ActingRequest, token: str) -> HttpResponse:
    """Mark a fault where the head was tapped, or in the middle of the zone chosen."""
    assessment = _own(request, token)
    form = FaultForm(request.POST, version=assessment.module_version)
    if not form.is_valid():
        return _page(request, assessment, fault_form=form)
    at = _place(form)
    if at is None or at.zone is None:
        form.add_error(None, "That was beside the hair. Tap inside a zone, or choose the zone.")
        return _page(request, assessment, fault_form=form)
    fault, common = chosen_fault(assessment.module_version, form.cleaned_data["fault"])
    zone = at.zone
    return _touched(
        request,
        assessment,
        lambda: scoring.place_fault(
            assessment=assessment,
            by=request.acting.person,
            azimuth_deg=Decimal(str(at.azimuth_deg)),
            elevation_deg=Decimal(str(at.elevation_deg)),
            zone=zone,
            fault=fault,
            common=common,
            note=form.cleaned_data["note"],
        ),
    )


@require_POST
@acting(Role.ASSESSOR)
def fault_change(request: ActingRequest, token: str, fault: str) -> HttpResponse:
    """Nudge a mark by 5 mm (`move`), or take it off (`remove`)."""
    assessment = _own(request, token)
    mark = get_object_or_404(FaultMark.objects.filter(assessment=assessment), token=fault)
    mark.assessment = assessment
    by = request.acting.person
    if "remove" in request.POST:
        return _touched(request, assessment, lambda: scoring.remove_fault(mark=mark, by=by))
    up, across = _STEPS.get(request.POST.get("move", ""), (0.0, 0.0))
    at = nudge(place_of(mark), up * NUDGE_MM, across * NUDGE_MM)
    zone = at.zone or Zone(mark.zone)
    return _touched(
        request,
        assessment,
        lambda: scoring.move_fault(
            mark=mark,
            by=by,
            azimuth_deg=Decimal(str(at.azimuth_deg)),
            elevation_deg=Decimal(str(at.elevation_deg)),
            zone=zone,
        ),
    )


_STEPS = {"up": (1.0, 0.0), "down": (-1.0, 0.0), "right": (0.0, 1.0), "left": (0.0, -1.0)}


@acting(Role.ASSESSOR)
def stop(request: ActingRequest, token: str) -> HttpResponse:
    """Record a stop event, after asking once more; or take it back."""
    assessment = _own(request, token)
    by = request.acting.person
    form = StopForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and "resume" in request.POST:
        return _touched(
            request, assessment, lambda: scoring.resume_head(assessment=assessment, by=by)
        )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        return _touched(
            request,
            assessment,
            lambda: scoring.stop_head(
                assessment=assessment, by=by, event=data["event"], note=data["note"]
            ),
        )
    return render(request, "assessment/stop.html", {"assessment": assessment, "form": form})


@acting(Role.ASSESSOR)
def discard(request: ActingRequest, token: str) -> HttpResponse:
    """Throw a draft away, after asking."""
    assessment = _own(request, token)
    if request.method == "POST":
        try:
            scoring.discard_draft(assessment=assessment, by=request.acting.person)
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            messages.success(request, "Discarded. Nothing of this draft is kept.")
        return redirect("assessment:assessment-list", request.acting.academy.slug)
    return render(request, "assessment/discard.html", {"assessment": assessment})


def _own(request: ActingRequest, token: str) -> Assessment:
    """The acting assessor's own assessment, with all the page reads; 404 for another's."""
    rows = Assessment.objects.for_scoring().filter(
        academy=request.acting.academy, assessor=request.acting.person
    )
    return get_object_or_404(rows, token=token)


def _criterion(assessment: Assessment, code: str) -> Criterion:
    for criterion in assessment.module_version.criteria.all():
        if criterion.code == code:
            return criterion
    raise AssessmentError("This criterion does not belong to the module.")


def _place(form: FaultForm) -> Place | None:
    """Where the head was tapped; without a tap, the middle of the zone."""
    data = form.cleaned_data
    if data["view"] and data["u"] is not None and data["v"] is not None:
        return locate(data["view"], data["u"], data["v"])
    return zone_centre(Zone(data["zone"])) if data["zone"] else None


def _touched(
    request: ActingRequest, assessment: Assessment, touch: Callable[[], object]
) -> HttpResponse:
    """Do one touch, then show the page again: the changed part for htmx, else by redirect."""
    try:
        touch()
    except Refused as refused:
        fresh = _own(request, assessment.token)
        return _page(request, fresh, refused=refused.message)
    if not request.headers.get("HX-Request"):
        url = request.POST.get("back", "")
        response = redirect(
            "assessment:assessment-score", request.acting.academy.slug, assessment.token
        )
        if url.startswith("?"):
            response["Location"] += url
        return response
    return _page(request, _own(request, assessment.token))


def _page(request: ActingRequest, assessment: Assessment, **forms: object) -> HttpResponse:
    query = request.POST if request.method == "POST" else request.GET
    page = ScorePage(assessment, query.get("zone", ""), query.get("view", ""))
    context = {
        "page": page,
        "head": mark_safe(page.big_head),  # noqa: S308
        "tabs": [(view, title, mark_safe(svg), on) for view, title, svg, on in page.tabs],  # noqa: S308
        "notes_form": NotesForm(
            initial={"minutes_used": assessment.minutes_used, "note": assessment.note}
        ),
        "fault_form": FaultForm(version=assessment.module_version, initial={"zone": page.zone}),
        "zone_form": ReasonForm(),
        "marking_fault": request.GET.get("mark") == "fault" or "fault_form" in forms,
        **forms,
    }
    touched = bool(request.headers.get("HX-Request"))
    template = "assessment/parts/touched.html" if touched else "assessment/score.html"
    return render(request, template, context)
