"""Certificates: what can be issued, what was, its PDF, and its withdrawal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from academy.audit.queries import history_of
from academy.audit.sentences import render as render_entries
from academy.awards.forms import WithdrawForm
from academy.awards.models import Certificate
from academy.awards.printing import pdf_state
from academy.awards.queries import award_places, state_of
from academy.awards.services import issue_certificate, withdraw_certificate
from academy.awards.state import State
from academy.curriculum.models import Award
from academy.people.acting import acting
from academy.people.models import Membership, Person, Role
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from academy.people.acting import ActingRequest

STAFF = (Role.MANAGER, Role.EDUCATOR, Role.VERIFIER)


@require_safe
@acting(*STAFF, Role.APPRENTICE)
def certificate_list(request: ActingRequest) -> HttpResponse:
    """What can be issued now (manager), then every certificate with its state."""
    academy, person = request.acting.academy, request.acting.person
    rows = (
        Certificate.objects.visible_to(person, academy)
        .select_related("holder", "award")
        .prefetch_related("events")
    )
    search = request.GET.get("q", "").strip()
    if search:
        rows = rows.filter(Q(holder__name__icontains=search) | Q(award_title__icontains=search))
    page = page_of(request, rows)
    return render(
        request,
        "awards/certificate_list.html",
        {
            "page": page,
            "rows": [(row, state_of(row)) for row in page.object_list],
            "ready": _ready(request) if request.acting.role is Role.MANAGER else [],
            "search": search,
        },
    )


def _ready(request: ActingRequest) -> list[tuple[Person, object]]:
    members = Membership.objects.filter(academy=request.acting.academy, role=Role.APPRENTICE)
    people = {
        person.pk: person for person in Person.objects.filter(memberships__in=members).distinct()
    }
    places = award_places(request.acting.academy, list(people))
    own = request.acting.person.pk
    return [
        (people[place.person], place) for place in places if place.may_issue and place.person != own
    ]


@require_safe
@acting(*STAFF, Role.APPRENTICE)
def certificate_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One certificate: state, what it rests on, its PDF, its history."""
    certificate = _certificate(request, token)
    history = history_of("awards.certificate", certificate.pk, academy_id=certificate.academy_id)
    return render(
        request,
        "awards/certificate_detail.html",
        {
            "certificate": certificate,
            "standing": state_of(certificate),
            "pdf": pdf_state(certificate),
            "public": request.build_absolute_uri(_public(certificate)),
            "sign_offs": certificate.sign_offs.select_related("module_version", "assessor"),
            "history": render_entries(history),
        },
    )


@acting(Role.MANAGER)
def certificate_issue(request: ActingRequest, award: str, person: str) -> HttpResponse:
    """What the certificate will say and what is missing; issuing asks once."""
    academy = request.acting.academy
    chosen = get_object_or_404(Award.objects.filter(academy=academy), token=award)
    members = Membership.objects.filter(academy=academy, role=Role.APPRENTICE)
    holder = get_object_or_404(
        Person.objects.filter(memberships__in=members).distinct(), token=person
    )
    if holder == request.acting.person:
        raise PermissionDenied("This certificate would be yours. Another manager issues it.")
    place = next(p for p in award_places(academy, [holder.pk]) if p.award == chosen)
    refusal = ""
    if request.method == "POST":
        try:
            certificate = issue_certificate(
                academy=academy,
                award=chosen,
                holder=holder,
                by=request.acting.person,
                replaces=place.ended,
            )
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(
                request, f"Issued. Certificate {certificate.number:04d} is being printed."
            )
            return redirect("awards:certificate-detail", academy.slug, certificate.token)
    context = {"award": chosen, "holder": holder, "place": place, "refusal": refusal}
    return render(request, "awards/certificate_issue.html", context)


@acting(Role.MANAGER)
def certificate_withdraw(request: ActingRequest, token: str) -> HttpResponse:
    """Withdraw for good, with a reason; 403 for one's own."""
    certificate = _certificate(request, token)
    if certificate.holder == request.acting.person:
        raise PermissionDenied("This certificate is yours. Another manager withdraws it.")
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            withdraw_certificate(
                certificate=certificate,
                by=request.acting.person,
                reason=form.cleaned_data["reason"],
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Withdrawn. The public page says so from now on.")
            return redirect("awards:certificate-detail", certificate.academy.slug, token)
    return render(
        request, "awards/certificate_withdraw.html", {"certificate": certificate, "form": form}
    )


@require_safe
@acting(*STAFF, Role.APPRENTICE)
def certificate_pdf(request: ActingRequest, token: str) -> HttpResponse | FileResponse:
    """The PDF as it was printed first; while it is being made, the page says so."""
    certificate = _certificate(request, token)
    kept = getattr(certificate, "file", None)
    withdrawn = state_of(certificate).state is State.WITHDRAWN
    # What was withdrawn is kept as evidence; nobody else should print it again.
    if kept is None or (withdrawn and request.acting.role is not Role.MANAGER):
        return redirect("awards:certificate-detail", certificate.academy.slug, token)
    response = FileResponse(
        kept.content.open("rb"),
        content_type="application/pdf",
        filename=f"certificate-{certificate.number}.pdf",
    )
    response["Cache-Control"] = "private, no-store"
    return response


def _certificate(request: ActingRequest, token: str) -> Certificate:
    rows = Certificate.objects.visible_to(request.acting.person, request.acting.academy)
    return get_object_or_404(
        rows.select_related(
            "academy", "holder", "award", "issued_by", "file", "replaces", "replaced_by"
        ).prefetch_related("events__by"),
        token=token,
    )


def _public(certificate: Certificate) -> str:
    return reverse("awards_public:check", kwargs={"token": certificate.token})
