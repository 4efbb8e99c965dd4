"""The record of an academy in sentences, and whether its chain holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from academy.assessment.blind import entries_readable
from academy.audit.models import Entry
from academy.audit.queries import history_of_person
from academy.audit.verifying import verify_chain
from academy.audit.sentences import render as render_entries
from academy.craft.measure import counted
from academy.people.acting import acting
from academy.people.models import Membership, Person, Role
from academy.web.forms import BlockworkForm, DayField
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.audit.models import EntryQuerySet
    from academy.people.acting import Acting, ActingRequest


class FindForm(BlockworkForm):
    """Narrow the record to a person, a kind of action and days."""

    person = forms.ModelChoiceField(
        Person.objects.none(), required=False, to_field_name="token", empty_label="Everybody"
    )
    kind = forms.ChoiceField(
        required=False,
        choices=[
            ("", "Everything"),
            ("people.", "People"),
            ("curriculum.", "Modules and rules"),
            ("exercises.", "Exercises"),
            ("practice.", "Practice"),
            ("assessment.", "Assessments and decisions"),
            ("awards.", "Certificates"),
        ],
    )
    since = DayField(required=False, label="From")
    until = DayField(required=False, label="To")


@require_safe
@acting(Role.MANAGER, Role.VERIFIER)
def record(request: ActingRequest) -> HttpResponse:
    """Every entry as a sentence, newest first."""
    form = FindForm(request.GET or None)
    members = Membership.objects.filter(academy=request.acting.academy)
    people = Person.objects.filter(memberships__in=members).distinct().order_by("name")
    form.fields["person"].queryset = people  # type: ignore[attr-defined]
    page = page_of(request, _entries(request.acting, form))
    return render(
        request,
        "reports/record.html",
        {"page": page, "lines": render_entries(page.object_list), "form": form},
    )


@require_POST
@acting(Role.MANAGER, Role.VERIFIER)
def verify_record(request: ActingRequest) -> HttpResponse:
    """Follow the whole chain from its first entry and say whether it holds."""
    result = verify_chain(request.acting.academy.pk)
    if result.broken is None:
        many = counted(result.checked, "entry", "entries")
        messages.success(request, f"The record holds. {many} verified, each to the last byte.")
    else:
        messages.error(
            request,
            f"The record is broken at entry {result.broken.sequence}: {result.broken.sentence} "
            "Everything from there on cannot be relied on. Keep a copy of the database and "
            "compare it with your backup.",
        )
    return redirect("reports:record", request.acting.academy.slug)


def _entries(acting: Acting, form: FindForm) -> EntryQuerySet:
    """What was looked for; a head that the reader may have to mark blind is left out."""
    data = form.cleaned_data if form.is_bound and form.is_valid() else {}
    entries = Entry.objects.for_history(acting.academy.pk)
    if data.get("person"):
        entries = history_of_person(data["person"].pk, academy_id=acting.academy.pk)
    entries = entries_readable(entries, acting.person, acting.academy)
    if not data:
        return entries
    if data["kind"]:
        entries = entries.filter(action__startswith=data["kind"])
    if data["since"]:
        entries = entries.filter(at__date__gte=data["since"])
    if data["until"]:
        entries = entries.filter(at__date__lte=data["until"])
    return entries
