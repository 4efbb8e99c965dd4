"""Photos of a draft: added and taken off as every other touch. They stand once it is submitted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.files.base import ContentFile
from django.db import transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Photo
from academy.assessment.services.touching import touching
from academy.web.images import ImageError, clean_image

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile

    from academy.assessment.models import Assessment
    from academy.people.models import Person

MOST_PHOTOS = 12
FACE = "A face is personal: crop it out, or record consent first."


def add_photo(
    *,
    assessment: Assessment,
    by: Person,
    upload: UploadedFile[bytes],
    shows: str,
    allowed: str,
    client_key: str,
) -> Photo:
    """Keep a photo, drawn anew without what the camera wrote beside it. Sent twice it is one."""
    if allowed not in Photo.Allowed.values:
        raise AssessmentError(FACE, field="allowed")
    if shows not in Photo.Shows.values:
        raise AssessmentError("Say what the photo shows.", field="shows")
    try:
        clean = clean_image(upload)
    except ImageError as refused:
        raise AssessmentError(str(refused), field="photo") from refused
    name = ""
    try:
        with touching(assessment, by):
            found = Photo.objects.filter(assessment=assessment, client_key=client_key).first()
            if found is not None:
                return found
            if Photo.objects.filter(assessment=assessment).count() >= MOST_PHOTOS:
                raise AssessmentError(
                    f"{MOST_PHOTOS} photos are the most of one head. Take one off first.",
                    field="photo",
                )
            photo = Photo(
                assessment=assessment,
                shows=shows,
                allowed=allowed,
                sha256=clean.sha256,
                width=clean.width,
                height=clean.height,
                client_key=client_key,
            )
            photo.file.save("photo.jpg", ContentFile(clean.content), save=False)
            name = photo.file.name or ""
            photo.save()
    except BaseException:
        # The row is not there: its file would lie about for nobody.
        if name:
            Photo._meta.get_field("file").storage.delete(name)
        raise
    return photo


def remove_photo(*, photo: Photo, by: Person) -> None:
    """Take a photo off a draft; its file goes with it."""
    with touching(photo.assessment, by):
        photo.delete()


def forget_file(instance: Photo, **_: Any) -> None:
    """Delete the file of a photo whose row is gone, also with its draft, once that stands."""
    storage, name = instance.file.storage, instance.file.name
    if name:
        transaction.on_commit(lambda: storage.delete(name))
