"""Faults on the head: placed by a tap or in the middle of a zone, moved, renamed, taken off."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.assessment.errors import AssessmentError
from academy.assessment.forms import (
    FaultBackForm,
    FaultForm,
    TapForm,
)
from academy.assessment.in_hand import read_place, written_place
from academy.assessment.mark_text import MarkText, chosen_fault
from academy.assessment.models import Assessment
from academy.assessment.score_head import place_of
from academy.assessment.services import faults
from academy.assessment.views.chair import after_sign_in, own_draft
from academy.assessment.views.mark_touch import MarkTouch
from academy.assessment.views.scoring import touch_view
from academy.craft.head.sheet import VIEWS, Place, best_view, locate, nudge, zone_centre
from academy.craft.head.zones import Zone
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.assessment.in_hand import InHand
    from academy.assessment.models import FaultMark
    from academy.people.acting import ActingRequest

STEP_MM, FINE_MM = 5.0, 1.0
_WAYS = {"up": (1, 0), "down": (-1, 0), "right": (0, 1), "left": (0, -1)}
BESIDE = "That was beside the hair. Tap inside a zone, or mark it in the middle of one."
GONE = "This mark was taken off meanwhile. What stands now is shown."


@touch_view
@acting(Role.ASSESSOR)
def fault_new(request: ActingRequest, token: str) -> HttpResponse:
    """Mark a fault where the head was tapped, or in the middle of the zone chosen.

    With `back` a mark that was taken off comes back as it was.
    """
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_touch())
    touch = MarkTouch(request, assessment)
    if "back" in request.POST:
        return _put_back(touch)
    form = FaultForm(request.POST, version=assessment.module_version)
    form.full_clean()
    at = _tapped(request, form)
    if at is not None and at.zone is None:
        form.add_error(None, BESIDE)
    if not form.errors:
        try:
            mark = _placed(touch, form, at)
        except Refused as refused:
            form.refuse(refused)
        else:
            return touch.placed(mark, "marked.")
    pending = at if at is not None and at.zone is not None else None
    return touch.shown(replace(touch.hand, marking=True), pending=pending, fault_form=form)


def _tapped(request: ActingRequest, form: FaultForm) -> Place | None:
    """Where the head was tapped; None for the middle of the zone."""
    data = form.cleaned_data
    view, u, v = data.get("view"), data.get("u"), data.get("v")
    if "middle" in request.POST or view not in VIEWS or u is None or v is None:
        return None
    return locate(view, u, v) or Place(0, 0, None)


def _placed(touch: MarkTouch, form: FaultForm, tapped: Place | None) -> FaultMark:
    data = form.cleaned_data
    if tapped is None and not data["zone"]:
        raise AssessmentError("Tap the head, or choose the zone.", field="zone")
    fault, common = chosen_fault(touch.assessment.module_version, data["fault"])
    return faults.place_fault(
        assessment=touch.assessment,
        by=touch.by,
        **_where(tapped or zone_centre(Zone(data["zone"]))),
        fault=fault,
        common=common,
        note=data["note"],
        key=data["key"],
    )


def _where(at: Place) -> dict[str, Decimal]:
    return {
        "azimuth_deg": Decimal(str(at.azimuth_deg)),
        "elevation_deg": Decimal(str(at.elevation_deg)),
    }


def _put_back(touch: MarkTouch) -> HttpResponse:
    form = FaultBackForm(touch.request.POST, version=touch.assessment.module_version)
    try:
        if not form.is_valid():
            raise AssessmentError("This mark cannot be put back. Mark the fault once more.")
        data = form.cleaned_data
        text = MarkText(
            data["number"], data["azimuth"], data["elevation"], data["fault"], data["note"]
        )
        mark = faults.keep_mark(
            assessment=touch.assessment, by=touch.by, key=data["key"], text=text
        )
    except Refused as refused:
        return touch.shown(touch.hand, refused=refused.message)
    return touch.placed(mark, "back.")


@touch_view
@acting(Role.ASSESSOR)
def fault_change(request: ActingRequest, token: str, fault: str) -> HttpResponse:
    """One mark: moved by a step, a tap or back (`move`), renamed (`change`), off (`remove`)."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_touch())
    touch = MarkTouch(request, assessment)
    mark = next((one for one in assessment.fault_marks.all() if one.client_key == fault), None)
    if mark is None:
        return touch.shown(touch.hand, refused=GONE)
    mark.assessment = assessment
    hand = replace(touch.hand, marking=False, fault=mark.client_key)
    if hand.view not in VIEWS:
        hand = replace(hand, view=best_view(place_of(mark)))
    if "change" in request.POST:
        return _renamed(touch, hand, mark)
    try:
        if "remove" in request.POST:
            faults.remove_fault(mark=mark, by=touch.by)
            return touch.taken_off(mark)
        return _moved(touch, hand, mark)
    except Refused as refused:
        return touch.shown(hand, refused=refused.message)


def _renamed(touch: MarkTouch, hand: InHand, mark: FaultMark) -> HttpResponse:
    version = touch.assessment.module_version
    form = FaultForm(touch.request.POST, version=version, mark=mark)
    if form.is_valid():
        own, common = chosen_fault(version, form.cleaned_data["fault"])
        note = form.cleaned_data["note"]
        try:
            faults.change_fault(mark=mark, by=touch.by, fault=own, common=common, note=note)
        except Refused as refused:
            form.refuse(refused)
        else:
            return touch.done(hand, mark, "changed.")
    return touch.shown(hand, fault_form=form)


def _moved(touch: MarkTouch, hand: InHand, mark: FaultMark) -> HttpResponse:
    sent, start = touch.request.POST, place_of(mark)
    way = sent.get("move", "")
    if way == "tap":
        at, words = _tapped_anew(touch.request), "moved there."
        hand = replace(hand, was=written_place(start), tap=False)
    elif way == "back":
        before = read_place(sent.get("was", ""))
        if before is None:
            raise AssessmentError("There is no move to undo.")
        at, words = before, "back where it was."
        hand = replace(hand, was="")
    else:
        mm = FINE_MM if "fine" in sent else STEP_MM
        at, words = _stepped(start, way, mm, hand.view), f"moved {mm:g} mm {way}."
        hand = replace(hand, was=written_place(start), fine="fine" in sent)
    if at.zone is None:
        raise AssessmentError("There the hair ends. Move it another way.")
    faults.move_fault(mark=mark, by=touch.by, **_where(at))
    return touch.done(hand, mark, words)


def _stepped(start: Place, way: str, mm: float, view: str) -> Place:
    if way not in _WAYS:
        raise AssessmentError("Choose up, down, left or right.")
    up, across = _WAYS[way]
    at = nudge(start, up * mm, across * mm, view=view)
    if at == start:
        raise AssessmentError("It cannot go further that way here. Turn the head to another view.")
    return at


def _tapped_anew(request: ActingRequest) -> Place:
    form = TapForm(request.POST)
    if not form.is_valid():
        raise AssessmentError(form.error_lines()[0].message)
    at = locate(**form.cleaned_data)
    if at is None or at.zone is None:
        raise AssessmentError("That was beside the hair, so the mark stays. Tap inside a zone.")
    return at
