"""The record of an academy in sentences, and whether its chain holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from academy.audit.affected import named
from academy.audit.checking import last_held, newest_check, start_check
from academy.audit.models import Checkpoint, Entry
from academy.audit.queries import history_of_person
from academy.audit.reading import readable
from academy.audit.sentences import render as render_entries
from academy.people.acting import acting
from academy.people.models import Membership, Person, Role
from academy.web.forms import BlockworkForm, DayField
from academy.web.paging import page_of
from academy.web.tasks import enqueue

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
    """Every entry as a sentence, newest first; htmx gets the verification alone, while it runs."""
    academy = request.acting.academy
    standing = {
        "check": newest_check(academy.pk),
        "held": last_held(academy.pk),
        "checkpoint": Checkpoint.objects.newest(academy.pk),
    }
    if request.htmx:
        return render(request, "reports/parts/record_check.html", _with_doubt(standing))
    form = FindForm(request.GET or None)
    members = Membership.objects.filter(academy=academy)
    people = Person.objects.filter(memberships__in=members).distinct().order_by("name")
    form.fields["person"].queryset = people  # type: ignore[attr-defined]
    page = page_of(request, _entries(request.acting, form))
    lines = render_entries(page.object_list)
    context = {"page": page, "lines": lines, "form": form, **_with_doubt(standing)}
    return render(request, "reports/record.html", context)


@require_POST
@acting(Role.MANAGER, Role.VERIFIER)
def verify_record(request: ActingRequest) -> HttpResponse:
    """Let a worker verify the whole record, or only what is new."""
    start_check(
        academy_id=request.acting.academy.pk,
        asked_by_id=request.acting.person.pk,
        whole=request.POST.get("which") != "new",
    )
    return redirect("reports:record", request.acting.academy.slug)


@require_POST
@acting(Role.MANAGER, Role.VERIFIER)
def sign_record(request: ActingRequest) -> HttpResponse:
    """Let a worker sign the record as it is now."""
    academy = request.acting.academy
    enqueue("academy.audit.tasks.checkpoint", academy.pk)
    messages.success(request, "It is being signed. The new checkpoint shows here in a moment.")
    return redirect("reports:record", academy.slug)


def _with_doubt(standing: dict[str, Any]) -> dict[str, Any]:
    """What a broken chain leaves in doubt, as rows with their names."""
    doubt = standing["check"].affected if standing["check"] else {}
    return {**standing, "doubt": doubt, "doubtful": named(doubt.get("subjects", []))}


def _entries(acting: Acting, form: FindForm) -> EntryQuerySet:
    """What was looked for; a head that the reader may have to mark blind is left out."""
    data = form.cleaned_data if form.is_bound and form.is_valid() else {}
    entries = Entry.objects.for_history(acting.academy.pk)
    if data.get("person"):
        entries = history_of_person(data["person"].pk, academy_id=acting.academy.pk)
    reader, academy = acting.person.pk, acting.academy.pk
    entries = readable(entries, reader_id=reader, academy_id=academy)
    if not data:
        return entries
    if data["kind"]:
        entries = entries.filter(action__startswith=data["kind"])
    if data["since"]:
        entries = entries.filter(at__date__gte=data["since"])
    if data["until"]:
        entries = entries.filter(at__date__lte=data["until"])
    return entries
