"""Photos of a reference head: added and taken off by educators until it is published."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from academy.assessment.forms.photos import ReferencePhotoForm
from academy.assessment.models import ReferenceHead, ReferencePhoto
from academy.assessment.services import photos
from academy.assessment.views.photos import picture, section
from academy.assessment.views.standardising import edit_page
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http import HttpResponse
    from django.http.response import HttpResponseBase

    from academy.people.acting import ActingRequest


@require_POST
@acting(Role.EDUCATOR)
def reference_photo_new(request: ActingRequest, token: str) -> HttpResponse:
    """Keep one photo. The page's script sends it small; without a script it comes as it is."""
    row = _reference(request, token)
    form = ReferencePhotoForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            photos.add_reference_photo(reference=row, by=request.acting.person, **form.sent())
        except Refused as refused:
            form.refuse(refused)
    if request.htmx:
        fresh = ReferencePhotoForm(initial=form.kept())
        return section(request, owner=row, way="reference-photo", sent=form, fresh=fresh)
    if form.errors:
        return edit_page(request, row, photo_form=form)
    messages.success(request, "The photo is kept.")
    return redirect("assessment:reference-edit", request.acting.academy.slug, token)


@acting(Role.EDUCATOR)
def reference_photo_remove(request: ActingRequest, token: str, photo: str) -> HttpResponse:
    """Take a photo off, after asking."""
    row = get_object_or_404(
        ReferencePhoto.objects.select_related("reference__academy"),
        reference=_reference(request, token),
        token=photo,
    )
    if request.method != "POST":
        context = {"owner": row.reference, "photo": row, "way": "reference-photo"}
        context["back"] = "assessment:reference-edit"
        return render(request, "assessment/photo_remove.html", context)
    try:
        photos.remove_reference_photo(photo=row, by=request.acting.person)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The photo is off.")
    return redirect("assessment:reference-edit", request.acting.academy.slug, token)


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER)
def reference_photo_file(request: ActingRequest, token: str, photo: str) -> HttpResponseBase:
    """The photo itself, for who may open its head: before it is published educators only."""
    head = _reference(request, token)
    if head.published_at is None and not request.acting.holds(Role.EDUCATOR):
        raise PermissionDenied("This reference head is not published yet.")
    return picture(get_object_or_404(ReferencePhoto, reference=head, token=photo))


def _reference(request: ActingRequest, token: str) -> ReferenceHead:
    return get_object_or_404(
        ReferenceHead.objects.select_related("academy", "module_version__module"),
        academy=request.acting.academy,
        token=token,
    )
