"""Photos at the chair: drawn anew, allowed for a reason, sent once, and standing when submitted."""

from __future__ import annotations

import io
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Photo
from academy.assessment.services import photos, scoring
from academy.assessment.services.submitting import submit
from academy.web.images import LONGEST_SIDE, MOST_BYTES, ImageError, clean_image
from academy.web.tokens import new_token
from tests.site.addresses import read_whole
from tests.site.making import full_boxes, mark_all

if TYPE_CHECKING:
    from django.conf import LazySettings

    from academy.people.models import Person

PLACE = b"GPS-51.5N"


def camera(size: tuple[int, int] = (400, 300), kind: str = "JPEG") -> SimpleUploadedFile:
    """A file as a camera writes it: with a maker, a turn and words beside the picture."""
    picture = Image.new("RGB", size, "white")
    picture.paste("black", (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[0x010F] = "Camera maker"
    exif[0x0112] = 6  # lies on its side
    exif[0x010E] = PLACE.decode()
    out = io.BytesIO()
    picture.save(out, kind, exif=exif)
    return SimpleUploadedFile("IMG_2024.jpg", out.getvalue(), "image/jpeg")


@pytest.fixture
def media(settings: LazySettings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def add(draft: Assessment, assessor: Person, key: str = "k" * 22, **fields: str) -> Photo:
    given = {"shows": "work", "allowed": "no_face", "client_key": key, **fields}
    return photos.add_photo(assessment=draft, by=assessor, upload=camera(), **given)


def test_what_the_camera_wrote_beside_the_picture_is_gone_and_it_stands_upright() -> None:
    upload = camera()
    assert PLACE in upload.read()
    upload.seek(0)
    clean = clean_image(upload)
    assert PLACE not in clean.content
    assert b"Camera" not in clean.content
    with Image.open(io.BytesIO(clean.content)) as kept:
        assert (kept.format, kept.size) == ("JPEG", (300, 400))
        assert not kept.getexif()
        # The left half was black; turned upright it is the upper one.
        assert kept.getpixel((150, 50)) != kept.getpixel((150, 350))


def test_a_large_photo_is_made_small_whatever_its_kind() -> None:
    for kind in ("JPEG", "PNG", "WEBP"):
        clean = clean_image(camera((4000, 1000), kind))
        assert max(clean.width, clean.height) == LONGEST_SIDE


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"not a picture", "This is not a photo"),
        (b"", "This is not a photo"),
        (b"\xff\xd8\xff\xe0" + b"0" * 50, "This is not a photo"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "This is not a photo"),
    ],
)
def test_what_is_no_photo_is_refused_with_what_to_do(content: bytes, sentence: str) -> None:
    with pytest.raises(ImageError, match=sentence):
        clean_image(SimpleUploadedFile("a.jpg", content, "image/jpeg"))


def test_a_file_that_is_too_large_is_not_even_opened() -> None:
    upload = SimpleUploadedFile("a.jpg", b"x", "image/jpeg")
    upload.size = MOST_BYTES + 1
    with pytest.raises(ImageError, match="over 15 MB"):
        clean_image(upload)


def test_a_photo_without_a_reason_is_refused(
    media: Path, draft: Assessment, assessor: Person
) -> None:
    with pytest.raises(AssessmentError, match="A face is personal"):
        add(draft, assessor, allowed="")
    assert not Photo.objects.exists()
    assert not list(media.rglob("*.jpg"))


def test_a_photo_sent_twice_is_kept_once(media: Path, draft: Assessment, assessor: Person) -> None:
    assert add(draft, assessor) == add(draft, assessor)
    assert len(list(media.rglob("*.jpg"))) == 1


def test_the_thirteenth_photo_is_refused_and_leaves_no_file(
    media: Path, draft: Assessment, assessor: Person
) -> None:
    for _ in range(photos.MOST_PHOTOS):
        add(draft, assessor, new_token())
    with pytest.raises(AssessmentError, match="12 photos are the most"):
        add(draft, assessor, new_token())
    assert len(list(media.rglob("*.jpg"))) == photos.MOST_PHOTOS


def test_a_photo_taken_off_and_a_draft_thrown_away_take_their_files_along(
    media: Path,
    draft: Assessment,
    assessor: Person,
    django_capture_on_commit_callbacks: Callable[..., AbstractContextManager[object]],
) -> None:
    one, _two = add(draft, assessor, new_token()), add(draft, assessor, new_token())
    with django_capture_on_commit_callbacks(execute=True):
        photos.remove_photo(photo=one, by=assessor)
    assert len(list(media.rglob("*.jpg"))) == 1
    with django_capture_on_commit_callbacks(execute=True):
        scoring.discard_draft(assessment=draft, by=assessor)
    assert not list(media.rglob("*.jpg"))


def test_photos_of_a_submitted_head_stand(
    media: Path, submitted: Assessment, assessor: Person
) -> None:
    head = submitted
    with pytest.raises(AssessmentError, match="is submitted and stands"):
        add(head, assessor)
    row = Photo(
        assessment=head, allowed="no_face", sha256="0" * 64, width=1, height=1, client_key="k" * 22
    )
    with pytest.raises(DatabaseError), transaction.atomic():
        Photo._base_manager.bulk_create([row])


def test_whoever_may_see_the_head_sees_its_photos_and_nobody_else(
    media: Path,
    draft: Assessment,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    photo = add(draft, assessor)
    address = reverse(
        "assessment:photo-file",
        kwargs={"academy": "larkmere", "token": draft.token, "photo": photo.token},
    )
    answer = signed_in(assessor).get(address)
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
    assert answer["Cache-Control"] == "private, no-store"
    read_whole(answer)
    assert signed_in(apprentice).get(address).status_code == 404
    assert Client().get(address).status_code == 302


def test_the_page_takes_a_photo_with_and_without_script(
    media: Path, draft: Assessment, assessor: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(assessor)
    address = reverse("assessment:photo-new", kwargs={"academy": "larkmere", "token": draft.token})
    sent = {"shows": "paper", "allowed": "consent", "key": new_token()}
    plain = client.post(address, {**sent, "photo": camera()})
    assert plain.status_code == 302
    assert draft.on_paper
    small = client.post(
        address,
        {**sent, "key": new_token(), "photo": camera()},
        headers={"HX-Request": "true"},
    )
    assert small.status_code == 200
    assert small.text.count("<img") == 2
    refused = client.post(
        address, {**sent, "allowed": "", "photo": camera()}, headers={"HX-Request": "true"}
    )
    assert refused.status_code == 422
    assert "A face is personal" in refused.text


def test_the_result_sheet_shows_the_photos_and_that_it_was_marked_on_paper(
    media: Path,
    draft: Assessment,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    add(draft, assessor, shows="paper")
    mark_all(draft, level=4, overall=4)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    address = reverse(
        "assessment:result-detail", kwargs={"academy": "larkmere", "token": draft.token}
    )
    page = signed_in(apprentice).get(address).text
    assert page.count("/photo/") == 2
    assert "Marked on paper first, then entered" in page
