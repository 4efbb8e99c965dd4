"""Sign-offs: what is ready, the signature, and the decision with its evidence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.assessment.forms import SignForm
from academy.assessment.models import Assessment, SignOff, Verification
from academy.assessment.queries import enough_heads, place_of
from academy.assessment.results import Standing, conditions
from academy.assessment.rules import may_answer_action, may_name_verifier, may_verify
from academy.assessment.services.signing import sign_off
from academy.assessment.ways import ways_on
from academy.audit.queries import history_of
from academy.audit.sentences import render as render_entries
from academy.curriculum.models import Module, ModuleVersion
from academy.people.acting import acting
from academy.people.models import Membership, Person, Role
from academy.people.proof import signed_with
from academy.web.paging import page_of
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.assessment.queries import Place
    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)
def signoff_list(request: ActingRequest) -> HttpResponse:
    """What the assessor can sign now, what stops others, then every sign-off of the academy."""
    academy, person = request.acting.academy, request.acting.person
    rows = (
        SignOff.objects.filter(academy=academy)
        .select_related("apprentice", "assessor", "module_version")
        .prefetch_related("verifications")
        .order_by("-signed_at")
    )
    if search := request.GET.get("q", "").strip():
        rows = rows.filter(apprentice__name__icontains=search)
    found = enough_heads(academy, person) if request.acting.holds(Role.ASSESSOR) else []
    return render(
        request,
        "assessment/signoff_list.html",
        {
            "ready": [row for row in found if not row.open],
            "nearly": [row for row in found if row.open],
            "page": page_of(request, rows),
            "search": search,
        },
    )


@acting(Role.ASSESSOR)
def signoff_new(request: ActingRequest, person: str, module: str) -> HttpResponse:
    """The evidence, what is missing, four statements, and the password or passkey again."""
    academy, assessor = request.acting.academy, request.acting.person
    members = Membership.objects.current().filter(academy=academy, role=Role.APPRENTICE)
    apprentice = get_object_or_404(
        Person.objects.filter(memberships__in=members).distinct(), token=person
    )
    if apprentice == assessor:
        raise PermissionDenied
    taught = get_object_or_404(Module.objects.visible_to(assessor, academy), token=module)
    published = get_object_or_404(taught.versions.filter(state=ModuleVersion.State.PUBLISHED))
    place = place_of(academy, apprentice, published)
    version = ModuleVersion.objects.select_related("module").get(pk=place.version)
    by_passkey = signed_with(request, "") == "passkey"
    form = SignForm(request.POST if request.method == "POST" else None, by_passkey=by_passkey)
    if request.method == "POST":
        row = _sign(request, form, apprentice, version)
        if row is not None:
            messages.success(request, f"Signed. {apprentice}, {version.title}.")
            return redirect("assessment:signoff-detail", academy.slug, row.token)
    needed = conditions(place.evidence, assessor.pk)
    named = Assessment.objects.filter(pk__in=[head.id for head in place.evidence.run])
    ways = ways_on(request.acting, needed, apprentice, version)
    return render(
        request,
        "assessment/signoff_new.html",
        {
            "apprentice": apprentice,
            "version": version,
            "place": place,
            "conditions": [(condition, ways.get(condition.key)) for condition in needed],
            "open": sum(not condition.met for condition in needed),
            "signed": _in_date(place),
            "named": named.select_related("assessor", "outcome").order_by("started_at"),
            "form": form,
            "by_passkey": by_passkey,
        },
    )


def _in_date(place: Place) -> SignOff | None:
    """The sign-off that stands; an expired one may be followed by another."""
    if place.signed is None or place.standing is Standing.EXPIRED:
        return None
    return SignOff.objects.get(pk=place.signed.id)


def _sign(
    request: ActingRequest, form: SignForm, apprentice: Person, version: ModuleVersion
) -> SignOff | None:
    """The sign-off, or None with all that is wrong in the form: statements and password."""
    whole, password = form.is_valid(), form.cleaned_data.get("password", "")
    method = signed_with(request, password)
    if not method and not form.has_error("password"):
        form.add_error("password", "That is not your password. Type it again, or use a passkey.")
    if not (whole and method):
        return None
    try:
        return sign_off(
            academy=request.acting.academy,
            assessor=request.acting.person,
            apprentice=apprentice,
            version=version,
            ticks=form.ticks,
            method=method,
        )
    except Refused as refused:
        form.refuse(refused)
        return None


@require_safe
@acting()
def signoff_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One sign-off: what it rests on, how it was verified, its history."""
    rows = SignOff.objects.visible_to(request.acting.person, request.acting.academy)
    row = get_object_or_404(
        rows.select_related(
            "academy", "apprentice", "assessor", "module_version__module"
        ).prefetch_related(
            "assessments__assessor",
            "assessments__outcome",
            "verifications__verifier",
            "verifications__answer__by",
            "named_verifiers__verifier",
        ),
        token=token,
    )
    history = history_of("assessment.signoff", row.pk, academy_id=row.academy_id)
    return render(
        request,
        "assessment/signoff_detail.html",
        {
            "sign_off": row,
            "history": render_entries(history),
            "may_verify": may_verify(request.acting.person, row),
            "may_name": may_name_verifier(request.acting.person, row),
            "may_answer": _may_answer(request, row),
        },
    )


def _may_answer(request: ActingRequest, row: SignOff) -> bool:
    """Whether an action is open on it that this person may answer and nobody has."""
    newest = next(iter(row.verifications.all()), None)
    asked = newest is not None and newest.result == Verification.Result.ACTION_NEEDED
    acts = request.acting.role in (Role.ASSESSOR, Role.EDUCATOR)
    may = acts and may_answer_action(request.acting.person, row)
    return asked and not hasattr(newest, "answer") and may
