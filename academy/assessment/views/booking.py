"""Asking for an assessment, booking, moving and cancelling it."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from django.contrib import messages
from django.db.models import Exists, OuterRef
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from academy.assessment import rules
from academy.assessment.forms import BookForm, ReasonForm
from academy.assessment.models import Booking
from academy.assessment.queries import place_of, places
from academy.assessment.readiness import readiness
from academy.assessment.results import Standing
from academy.assessment.services import booking as services
from academy.audit.queries import history_of
from academy.audit.sentences import render as render_entries
from academy.curriculum.models import Module, ModuleVersion
from academy.people.acting import acting
from academy.people.models import Membership, Role
from academy.web.days import written, written_moment
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


DAYS_AHEAD = 7


@require_safe
@acting()
def booking_list(request: ActingRequest) -> HttpResponse:
    """Who waits longest, then what is booked; an apprentice sees their own, and what to ask for."""
    academy, person = request.acting.academy, request.acting.person
    here = Membership.objects.current().filter(
        academy=academy, person=OuterRef("apprentice"), role=Role.APPRENTICE
    )
    rows = (
        Booking.objects.visible_to(person, academy)
        .select_related("apprentice", "assessor", "module_version")
        .annotate(here=Exists(here))
        .order_by("asked_at")
    )
    over = rows.filter(state__in=[Booking.State.DONE, Booking.State.CANCELLED])
    return render(
        request,
        "assessment/booking_list.html",
        {
            "asked": rows.filter(state=Booking.State.ASKED),
            "booked": rows.filter(state=Booking.State.BOOKED).order_by("at"),
            "page": page_of(request, over.order_by("-asked_at")),
            "to_ask": _to_ask(request) if request.acting.holds(Role.APPRENTICE) else None,
            "staff": rules.may_book(person, academy),
        },
    )


def _to_ask(request: ActingRequest) -> list[tuple[ModuleVersion, Standing]]:
    """The modules an apprentice has begun and is not signed off in, ready ones first."""
    found = places(request.acting.academy, [request.acting.person.pk])
    open_ones = [place for place in found.values() if place.standing in _TO_ASK]
    versions = ModuleVersion.objects.select_related("module").in_bulk(
        [place.version for place in open_ones]
    )
    open_ones.sort(
        key=lambda place: (
            _TO_ASK.index(place.standing),
            versions[place.version].module.position,
        )
    )
    return [(versions[place.version], place.standing) for place in open_ones]


_TO_ASK = (Standing.READY, Standing.NOT_YET, Standing.EXPIRED, Standing.PRACTISING)


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR)
def booking_day(request: ActingRequest) -> HttpResponse:
    """The booked heads of a week from a day on: an assessor's own, an educator's all."""
    academy, person = request.acting.academy, request.acting.person
    first = _day(request.GET.get("day", ""))
    rows = (
        Booking.objects.visible_to(person, academy)
        .filter(state=Booking.State.BOOKED)
        .select_related("apprentice", "assessor", "module_version__module")
        .order_by("at")
    )
    own = request.acting.role == Role.ASSESSOR
    if own:
        rows = rows.filter(assessor=person)
    ends = first + timedelta(days=DAYS_AHEAD)
    by_day: dict[date, list[Booking]] = {
        first + timedelta(days=number): [] for number in range(DAYS_AHEAD)
    }
    for row in rows.filter(at__gte=_begins(first), at__lt=_begins(ends)):
        by_day[timezone.localdate(row.at)].append(row)
    return render(
        request,
        "assessment/booking_day.html",
        {
            "days": by_day.items(),
            "count": sum(map(len, by_day.values())),
            "late": rows.filter(at__lt=_begins(timezone.localdate())),
            "first": first,
            "earlier": first - timedelta(days=DAYS_AHEAD),
            "later": first + timedelta(days=DAYS_AHEAD),
            "own": own,
        },
    )


def _begins(day: date) -> datetime:
    """Midnight at the academy."""
    return timezone.make_aware(datetime.combine(day, time.min))


def _day(text: str) -> date:
    """A day as the address gives it; today where it gives none that can be."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return timezone.localdate()
    near = abs((found - timezone.localdate()).days) < _FAR_DAYS
    return found if near else timezone.localdate()


_FAR_DAYS = 3660


@acting(Role.APPRENTICE)
def booking_ask(request: ActingRequest, token: str) -> HttpResponse:
    """What an assessment asks for first; the apprentice asks in the edition they are on."""
    academy, apprentice = request.acting.academy, request.acting.person
    module = get_object_or_404(Module.objects.visible_to(apprentice, academy), token=token)
    published = get_object_or_404(module.versions.filter(state=ModuleVersion.State.PUBLISHED))
    found = place_of(academy, apprentice, published)
    version = ModuleVersion.objects.select_related("module", "academy").get(pk=found.version)
    before = services.open_booking(apprentice, version)
    refused_words = ""
    if request.method == "POST":
        try:
            booking = services.ask_for_assessment(
                academy=academy, apprentice=apprentice, version=version
            )
        except Refused as refused:
            refused_words = refused.message
        else:
            if booking == before:
                messages.info(request, _already_words(booking))
            else:
                messages.success(request, f"Asked. {version.title} waits for an assessor's time.")
            return redirect("assessment:booking-detail", academy.slug, booking.token)
    return render(
        request,
        "assessment/booking_ask.html",
        {
            "version": version,
            "readiness": readiness(academy, apprentice, version),
            "booking": before,
            "refused": refused_words,
        },
    )


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


def _open_then(booking: Booking) -> list[str]:
    """What stands in the way of the booked head on its day, as far as is known today."""
    if booking.state != Booking.State.BOOKED or booking.at is None:
        return []
    day = max(timezone.localdate(booking.at), timezone.localdate())
    return readiness(booking.academy, booking.apprentice, booking.module_version, on=day).why_not


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
            "history": render_entries(
                history_of("assessment.booking", booking.pk, academy_id=booking.academy_id)
            ),
            "open_then": _open_then(booking),
            "may_begin": booking.state == Booking.State.BOOKED and booking.assessor == person,
            **forms,
        },
    )
