"""The next head after a "not yet": when, after which practice, how much, by whom; and begin it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render

from academy.assessment import rules
from academy.assessment.again import AfterNotYet, after_not_yet
from academy.assessment.forms.after import AgainForm
from academy.assessment.models import Assessment, Booking
from academy.assessment.queries import place_of
from academy.assessment.services.scoring import start_assessment
from academy.curriculum.models import Module, ModuleVersion
from academy.people.acting import acting
from academy.people.models import Membership, Person, Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import Acting, ActingRequest


@acting()
def again(request: ActingRequest, person: str, module: str) -> HttpResponse:
    """Read by the apprentice and staff; an assessor begins the head from here."""
    who = request.acting
    apprentice = _apprentice(who, person)
    where = get_object_or_404(Module.objects.visible_to(who.person, who.academy), token=module)
    version = _version(who, apprentice, where)
    draft = Assessment.objects.filter(
        apprentice=apprentice,
        module_version=version,
        assessor=who.person,
        state=Assessment.State.DRAFT,
        kind=Assessment.Kind.FIRST,
    ).first()
    if draft is not None and request.method == "POST":
        return redirect("assessment:assessment-score", who.academy.slug, draft.token)
    after = after_not_yet(who.academy, apprentice, version)
    assesses = rules.may_assess(who.person, who.academy, apprentice)
    if request.method == "POST" and not assesses:
        raise PermissionDenied
    form = _form(request, after)
    if request.method == "POST" and (form is None or form.is_valid()):
        try:
            assessment = start_assessment(
                academy=who.academy,
                assessor=who.person,
                apprentice=apprentice,
                version=version,
                booking=Booking.objects.filter(
                    apprentice=apprentice, module_version=version, state=Booking.State.BOOKED
                ).first(),
                chosen=form.codes if form else (),
            )
        except Refused as refused:
            form = form or AgainForm({}, after=after)  # type: ignore[arg-type]
            form.is_valid()
            form.refuse(refused)
        else:
            return redirect("assessment:assessment-score", who.academy.slug, assessment.token)
    context = {
        "apprentice": apprentice,
        "version": version,
        "after": after,
        "form": form,
        "draft": draft,
        "own": apprentice == who.person,
        "may_begin": assesses and who.role == Role.ASSESSOR,
        "may_plan": rules.may_plan(who.person, who.academy),
        "refusals": after.refusals(who.person.pk if assesses else None) if after else [],
    }
    return render(request, "assessment/again.html", context)


def _form(request: ActingRequest, after: AfterNotYet | None) -> AgainForm | None:
    if after is None:
        return None
    return AgainForm(request.POST if request.method == "POST" else None, after=after)


def _version(who: Acting, apprentice: Person, module: Module) -> ModuleVersion:
    """The edition the apprentice is on."""
    rows = ModuleVersion.objects.filter(module=module).exclude(state=ModuleVersion.State.DRAFT)
    newest = rows.select_related("module", "academy").order_by("-number").first()
    version = get_object_or_404(rows) if newest is None else newest
    place = place_of(who.academy, apprentice, version)
    return rows.select_related("module", "academy").get(pk=place.version)


def _apprentice(who: Acting, token: str) -> Person:
    """An apprentice of the academy, now or before; for an apprentice only themselves."""
    members = Membership.objects.filter(academy=who.academy, role=Role.APPRENTICE)
    people = Person.objects.filter(memberships__in=members).distinct()
    if who.roles == (Role.APPRENTICE,):
        people = people.filter(pk=who.person.pk)
    return get_object_or_404(people, token=token)
