"""Faults on the head: placed by a tap or in the middle of a zone, moved, renamed, taken off."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render

from academy.assessment.errors import AssessmentError
from academy.assessment.forms import FaultForm, FaultNameForm, chosen_fault, fault_choice
from academy.assessment.models import Assessment, FaultMark
from academy.assessment.score_page import ScorePage, place_of
from academy.assessment.services import faults
from academy.assessment.views.chair import (
    after_sign_in,
    back_to_head,
    own_draft,
    safe,
    whole_page,
)
from academy.assessment.views.scoring import touch_view
from academy.craft.head.sheet import VIEWS, Place, best_view, locate, nudge, zone_centre
from academy.craft.head.svg import Drawing, Fault, view_svg
from academy.craft.head.zones import Zone
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest

NUDGE_MM = 5.0
_STEPS = {"up": (1.0, 0.0), "down": (-1.0, 0.0), "right": (0.0, 1.0), "left": (0.0, -1.0)}
BESIDE = "That was beside the hair. Tap inside a zone, or mark it in the middle of one."


@touch_view
@acting(Role.ASSESSOR)
def fault_new(request: ActingRequest, token: str) -> HttpResponse:
    """Mark a fault where the head was tapped, or in the middle of the zone chosen."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    form = FaultForm(request.POST, version=assessment.module_version)
    form.full_clean()
    at = _tapped(request, form)
    if at is not None and at.zone is None:
        form.add_error(None, BESIDE)
    if not form.errors:
        try:
            mark = _placed(request, assessment, form, at)
        except Refused as refused:
            form.refuse(refused)
        else:
            view = request.GET.get("view", "")
            return back_to_head(request, assessment, _query(mark, view))
    pending = at if at is not None and at.zone is not None else None
    zone, view = request.GET.get("zone", ""), request.GET.get("view", "")
    page = ScorePage(assessment, zone, view, marking=True, pending=pending)
    return whole_page(request, assessment, page=page, fault_form=form)


def _tapped(request: ActingRequest, form: FaultForm) -> Place | None:
    """Where the head was tapped; None for the middle of the zone."""
    data = form.cleaned_data
    view, u, v = data.get("view"), data.get("u"), data.get("v")
    if "middle" in request.POST or view not in VIEWS or u is None or v is None:
        return None
    return locate(view, u, v) or Place(0, 0, None)


def _placed(
    request: ActingRequest, assessment: Assessment, form: FaultForm, tapped: Place | None
) -> FaultMark:
    data = form.cleaned_data
    if tapped is None and not data["zone"]:
        raise AssessmentError("Tap the head, or choose the zone.", field="zone")
    at = tapped or zone_centre(Zone(data["zone"]))
    fault, common = chosen_fault(assessment.module_version, data["fault"])
    return faults.place_fault(
        assessment=assessment,
        by=request.acting.person,
        **_where(at),
        fault=fault,
        common=common,
        note=data["note"],
    )


def _where(at: Place) -> dict[str, Any]:
    return {
        "azimuth_deg": Decimal(str(at.azimuth_deg)),
        "elevation_deg": Decimal(str(at.elevation_deg)),
        "zone": at.zone,
    }


def _query(mark: FaultMark, view: str) -> str:
    return urlencode({"zone": mark.zone, "view": view})


@acting(Role.ASSESSOR)
def fault_change(request: ActingRequest, token: str, fault: str) -> HttpResponse:
    """One mark in a view: moved by 5 mm (`move`), renamed (`change`), taken off (`remove`)."""
    assessment = own_draft(request, token, Assessment.objects.for_touch())
    if assessment.state == Assessment.State.SUBMITTED:
        return redirect("assessment:result-detail", request.acting.academy.slug, assessment.token)
    mark = get_object_or_404(assessment.fault_marks.select_related("fault"), token=fault)
    mark.assessment = assessment
    view = request.GET.get("view", "")
    if view not in VIEWS:
        view = best_view(place_of(mark))
    sent = request.POST if "change" in request.POST else None
    initial = {"fault": fault_choice(mark), "note": mark.note}
    form = FaultNameForm(sent, version=assessment.module_version, initial=initial)
    refused = ""
    if request.method == "POST" and (sent is None or form.is_valid()):
        try:
            return _changed(request, mark, view, form)
        except Refused as error:
            refused = error.message
            mark.refresh_from_db()
    return render(request, "assessment/fault_change.html", _shown(mark, view, form, refused))


def _changed(
    request: ActingRequest, mark: FaultMark, view: str, form: FaultNameForm
) -> HttpResponse:
    by, slug = request.acting.person, request.acting.academy.slug
    if "remove" in request.POST:
        faults.remove_fault(mark=mark, by=by)
        messages.success(request, f"Fault {mark.number} is off.")
        return back_to_head(request, mark.assessment, _query(mark, view))
    if "change" in request.POST:
        own, common = chosen_fault(mark.assessment.module_version, form.cleaned_data["fault"])
        faults.change_fault(
            mark=mark, by=by, fault=own, common=common, note=form.cleaned_data["note"]
        )
        return back_to_head(request, mark.assessment, _query(mark, view))
    _move(mark, request.POST.get("move", ""), view, request)
    answer = redirect("assessment:fault-change", slug, mark.assessment.token, mark.token)
    answer["Location"] += f"?{_query(mark, view)}"
    return answer


def _move(mark: FaultMark, direction: str, view: str, request: ActingRequest) -> None:
    if direction not in _STEPS:
        raise AssessmentError("Choose up, down, left or right.")
    up, across = _STEPS[direction]
    start = place_of(mark)
    at = nudge(start, up * NUDGE_MM, across * NUDGE_MM, view=view)
    if at == start:
        raise AssessmentError("It cannot go further that way here. Turn the head to another view.")
    if at.zone is None:
        raise AssessmentError("There the hair ends. Move it another way.")
    faults.move_fault(mark=mark, by=request.acting.person, **_where(at))


def _shown(mark: FaultMark, view: str, form: FaultNameForm, refused: str) -> dict[str, Any]:
    at = place_of(mark)
    drawing = Drawing(faults=[Fault(mark.number, at.azimuth_deg, at.elevation_deg, mark.words)])
    return {
        "assessment": mark.assessment,
        "mark": mark,
        "head": safe(view_svg(view, drawing)),
        "views": [(name, name == view) for name in VIEWS],
        "query": _query(mark, view),
        "form": form,
        "refused": refused,
    }
