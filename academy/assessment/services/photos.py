"""Photos of drafts: added and taken off as every other touch. They stand once it is submitted."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

from django.core.files.base import ContentFile
from django.db import transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Photo, ReferenceHead, ReferencePhoto
from academy.assessment.models.photos import KeptPhoto
from academy.assessment.services.standardising import check_open
from academy.assessment.services.touching import touching
from academy.web.images import ImageError, clean_image

if TYPE_CHECKING:
    from collections.abc import Iterator
    from contextlib import AbstractContextManager

    from django.core.files.uploadedfile import UploadedFile
    from django.db.models import QuerySet

    from academy.assessment.models import Assessment
    from academy.people.models import Person

P = TypeVar("P", bound=KeptPhoto)
MOST_PHOTOS = 12
FACE = "A face is personal: crop it out, or record consent first."
SAY_WHAT = "Say what the photo shows."


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
    if shows not in Photo.Shows.values:
        raise AssessmentError(SAY_WHAT, field="shows")
    photo = Photo(assessment=assessment, shows=shows, allowed=allowed, client_key=client_key)
    others = Photo.objects.filter(assessment=assessment)
    return _keep(photo, others, upload, touching(assessment, by))


def remove_photo(*, photo: Photo, by: Person) -> None:
    """Take a photo off a draft; its file goes with it."""
    with touching(photo.assessment, by):
        photo.delete()


def add_reference_photo(
    *,
    reference: ReferenceHead,
    by: Person,
    upload: UploadedFile[bytes],
    shows: str,
    allowed: str,
    client_key: str,
) -> ReferencePhoto:
    """Keep a photo of a reference head that is not published yet; `shows` says what of it."""
    if not shows.strip():
        raise AssessmentError(f"{SAY_WHAT} For example: nape, third parting.", field="shows")
    photo = ReferencePhoto(
        reference=reference, shows=shows.strip(), allowed=allowed, client_key=client_key
    )
    others = ReferencePhoto.objects.filter(reference=reference)
    return _keep(photo, others, upload, _held(reference, by))


def remove_reference_photo(*, photo: ReferencePhoto, by: Person) -> None:
    """Take a photo off a reference head that is not published yet; its file goes with it."""
    with _held(photo.reference, by):
        photo.delete()


def forget_file(instance: KeptPhoto, **_: Any) -> None:
    """Delete the file of a photo whose row is gone, also with its draft, once that stands."""
    storage, name = instance.file.storage, instance.file.name
    if name:
        transaction.on_commit(lambda: storage.delete(name))


@contextmanager
def _held(reference: ReferenceHead, by: Person) -> Iterator[None]:
    """The reference head, so that it is not published meanwhile."""
    with transaction.atomic():
        check_open(ReferenceHead.objects.select_for_update().get(pk=reference.pk), by)
        yield


def _keep(
    photo: P,
    others: QuerySet[P],
    upload: UploadedFile[bytes],
    held: AbstractContextManager[object],
) -> P:
    """Keep a photo with its picture among the others of its head, while that is `held`."""
    if photo.allowed not in KeptPhoto.Allowed.values:
        raise AssessmentError(FACE, field="allowed")
    try:
        clean = clean_image(upload)
    except ImageError as refused:
        raise AssessmentError(str(refused), field="photo") from refused
    name = ""
    try:
        with held:
            found = others.filter(client_key=photo.client_key).first()
            if found is not None:
                return found
            if others.count() >= MOST_PHOTOS:
                raise AssessmentError(
                    f"{MOST_PHOTOS} photos are the most of one head. Take one off first.",
                    field="photo",
                )
            photo.sha256, photo.width, photo.height = clean.sha256, clean.width, clean.height
            photo.file.save("photo.jpg", ContentFile(clean.content), save=False)
            name = photo.file.name or ""
            photo.save()
    except BaseException:
        # The row is not there: its file would lie about for nobody.
        if name:
            photo.file.storage.delete(name)
        raise
    return photo
