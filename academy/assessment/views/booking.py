"""Asking for an assessment, booking, moving and cancelling it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from academy.assessment import rules
from academy.assessment.forms import BookForm, ReasonForm
from academy.assessment.models import Booking
from academy.assessment.queries import place_of
from academy.assessment.services import booking as services
from academy.curriculum.models import Module, ModuleVersion
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.days import written, written_moment
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting()
def booking_list(request: ActingRequest) -> HttpResponse:
    """Who waits longest, then what is booked; an apprentice sees their own."""
    rows = (
        Booking.objects.visible_to(request.acting.person, request.acting.academy)
        .select_related("apprentice", "assessor", "module_version")
        .order_by("asked_at")
    )
    return render(
        request,
        "assessment/booking_list.html",
        {
            "asked": rows.filter(state=Booking.State.ASKED),
            "booked": rows.filter(state=Booking.State.BOOKED).order_by("at"),
            "page": page_of(
                request,
                rows.filter(state__in=[Booking.State.DONE, Booking.State.CANCELLED]).order_by(
                    "-asked_at"
                ),
            ),
        },
    )


@require_POST
@acting(Role.APPRENTICE)
def booking_ask(request: ActingRequest, token: str) -> HttpResponse:
    """The apprentice asks to be assessed in a module, in the edition they are on."""
    academy, apprentice = request.acting.academy, request.acting.person
    module = get_object_or_404(Module.objects.visible_to(apprentice, academy), token=token)
    published = get_object_or_404(module.versions.filter(state=ModuleVersion.State.PUBLISHED))
    place = place_of(academy, apprentice, published)
    version = ModuleVersion.objects.get(pk=place.version)
    before = services.open_booking(apprentice, version)
    try:
        booking = services.ask_for_assessment(
            academy=academy, apprentice=apprentice, version=version
        )
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("curriculum:module-detail", academy.slug, module.token)
    if booking == before:
        messages.info(request, _already_words(booking))
    else:
        messages.success(request, f"Asked. {version.title} waits for an assessor's time.")
    return redirect("assessment:booking-detail", academy.slug, booking.token)


@acting()
def booking_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One booking: when and where; staff book or move it, those concerned cancel it."""
    booking = _booking(request, token)
    form = BookForm(
        request.POST if request.method == "POST" else None,
        academy=booking.academy,
        apprentice=booking.apprentice,
        initial={"assessor": booking.assessor_id, "at": booking.at, "place": booking.place},
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.book(booking=booking, by=request.acting.person, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _booked_words(booking))
            return redirect("assessment:booking-detail", booking.academy.slug, booking.token)
    return _page(request, booking, form)


@require_POST
@acting()
def booking_cancel(request: ActingRequest, token: str) -> HttpResponse:
    booking = _booking(request, token)
    form = ReasonForm(request.POST)
    if form.is_valid():
        try:
            services.cancel_booking(
                booking=booking, by=request.acting.person, reason=form.cleaned_data["reason"]
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Cancelled. The reason stands on the booking.")
            return redirect("assessment:booking-detail", booking.academy.slug, booking.token)
    empty = BookForm(academy=booking.academy, apprentice=booking.apprentice)
    return _page(request, booking, empty, cancel_form=form)


def _booking(request: ActingRequest, token: str) -> Booking:
    rows = Booking.objects.visible_to(request.acting.person, request.acting.academy)
    return get_object_or_404(
        rows.select_related("academy", "apprentice", "assessor", "module_version__module"),
        token=token,
    )


def _already_words(booking: Booking) -> str:
    if booking.at is None:
        return f"You asked already on {written(booking.asked_at)}."
    return f"Booked already: {written_moment(booking.at)}, {booking.place}."


def _booked_words(booking: Booking) -> str:
    when = timezone.localtime(booking.at)
    return f"Booked. {booking.assessor}, {when:%A %d %B, %H:%M}, {booking.place}."


def _page(
    request: ActingRequest, booking: Booking, form: BookForm, **forms: ReasonForm
) -> HttpResponse:
    person = request.acting.person
    is_open = booking.state in (Booking.State.ASKED, Booking.State.BOOKED)
    return render(
        request,
        "assessment/booking_detail.html",
        {
            "booking": booking,
            "form": form,
            "cancel_form": ReasonForm(),
            "may_book": is_open and rules.may_book(person, booking.academy),
            "may_cancel": rules.may_cancel(person, booking),
            "may_begin": booking.state == Booking.State.BOOKED and booking.assessor == person,
            **forms,
        },
    )
