"""Photos at the chair: added, taken off, and looked at by whoever may see the head."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from academy.assessment.blind import withheld
from academy.assessment.forms.photos import PhotoForm
from academy.assessment.models import Assessment, Photo
from academy.assessment.services import photos
from academy.assessment.views.chair import after_sign_in, back_to_head, own_draft, whole_page
from academy.assessment.views.scoring import touch_view
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.refused import Refused

if TYPE_CHECKING:
    from django.http.response import HttpResponseBase

    from academy.assessment.models import ReferenceHead
    from academy.assessment.models.photos import KeptPhoto
    from academy.people.acting import ActingRequest


@touch_view
@acting(Role.ASSESSOR)
def photo_new(request: ActingRequest, token: str) -> HttpResponse:
    """Keep one photo. The page's script sends it small; without a script it comes as it is."""
    if request.method != "POST":
        return after_sign_in(request, token)
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            photos.add_photo(assessment=assessment, by=request.acting.person, **form.sent())
        except Refused as refused:
            form.refuse(refused)
    if request.htmx:
        return section(request, owner=assessment, way="photo", sent=form, fresh=PhotoForm())
    if form.errors:
        return whole_page(request, assessment, photo_form=form)
    return back_to_head(request, assessment)


def section(
    request: ActingRequest,
    *,
    owner: Assessment | ReferenceHead,
    way: str,
    sent: PhotoForm,
    fresh: PhotoForm,
) -> HttpResponse:
    """The photos as they are now, what was refused of the one sent, and a form for the next."""
    context = {"owner": owner, "way": way, "photo_form": fresh, "refused_photo": sent}
    status = 422 if sent.errors else 200
    return render(request, "assessment/parts/photos.html", context, status=status)


@touch_view
@acting(Role.ASSESSOR)
def photo_remove(request: ActingRequest, token: str, photo: str) -> HttpResponse:
    """Take a photo off, after asking."""
    assessment = own_draft(request, token, Assessment.objects.for_scoring())
    row = get_object_or_404(Photo, assessment=assessment, token=photo)
    row.assessment = assessment
    if request.method != "POST":
        context = {"owner": assessment, "photo": row, "way": "photo"}
        context["back"] = "assessment:assessment-score"
        return render(request, "assessment/photo_remove.html", context)
    try:
        photos.remove_photo(photo=row, by=request.acting.person)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The photo is off.")
    return back_to_head(request, assessment)


@require_safe
@acting()
def photo_file(request: ActingRequest, token: str, photo: str) -> HttpResponseBase:
    """The photo itself; nothing but its own page may show it."""
    acting_ = request.acting
    seen = Assessment.objects.visible_to(acting_.person, acting_.academy).filter(token=token)
    row = get_object_or_404(
        Photo.objects.select_related("assessment"), assessment__in=seen, token=photo
    )
    if row.assessment.state == Assessment.State.SUBMITTED and withheld(
        row.assessment, acting_.person
    ):
        raise Http404
    return picture(row)


def picture(row: KeptPhoto) -> HttpResponseBase:
    """The file of a photo, for whoever was found to be allowed to see it.

    A tablet is shared and a head may be kept from the next one to hold it: nothing stays behind.
    """
    answer = FileResponse(row.file.open("rb"), content_type="image/jpeg")
    answer["Cache-Control"] = "private, no-store"
    answer["Content-Disposition"] = "inline"
    return answer
