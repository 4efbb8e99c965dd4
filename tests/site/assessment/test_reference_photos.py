"""Photos of a reference head: added until it is published, shown to who marks it and compares."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, connection, transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.services import photos
from academy.assessment.services.scoring import set_level, set_overall
from academy.assessment.services.standardising import (
    keep_reference,
    places_of,
    publish_reference,
    start_reference,
    write_reference,
)
from academy.assessment.services.submitting import submit
from academy.audit.models import Entry
from academy.web.tokens import new_token
from tests.site.addresses import read_whole
from tests.site.assessment.test_photos import PLACE, camera
from tests.site.making import full_boxes

if TYPE_CHECKING:
    from django.conf import LazySettings
    from django.test import Client

    from academy.assessment.models import ReferenceHead, ReferencePhoto
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

INSERT = (
    "INSERT INTO assessment_referencephoto (token, allowed, file, sha256, width, height, "
    "client_key, added_at, shows, reference_id) SELECT 'x', allowed, file, sha256, width, "
    "height, 'x', added_at, shows, reference_id FROM assessment_referencephoto"
)
Url = Callable[..., str]
Signed = Callable[["Person"], "Client"]


@pytest.fixture(autouse=True)
def media(settings: LazySettings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def open_head(version: ModuleVersion, educator: Person) -> ReferenceHead:
    """Every place agreed at 2, not published."""
    row = write_reference(academy=version.academy, by=educator, version=version, name="Thin nape")
    levels = {(one.code, zone): (2, "White shows.") for one, zone in places_of(version)}
    keep_reference(reference=row, by=educator, levels=levels, faults=[])
    return row


def add(
    head: ReferenceHead, by: Person, key: str = "", shows: str = "nape, third parting", **more: str
) -> ReferencePhoto:
    given = {"allowed": "no_face", "client_key": key or new_token(), "shows": shows, **more}
    return photos.add_reference_photo(reference=head, by=by, upload=camera(), **given)


def test_it_is_drawn_anew_and_kept_once_for_a_reason_and_with_its_words(
    open_head: ReferenceHead, educator: Person, media: Path
) -> None:
    one = add(open_head, educator, "k" * 22)
    assert add(open_head, educator, "k" * 22) == one
    (file,) = media.rglob("*.jpg")
    assert PLACE not in file.read_bytes()
    with pytest.raises(AssessmentError, match="A face is personal"):
        add(open_head, educator, allowed="")
    with pytest.raises(AssessmentError, match="Say what the photo shows"):
        add(open_head, educator, shows=" ")
    assert len(list(media.rglob("*.jpg"))) == 1


def test_twelve_are_the_most(open_head: ReferenceHead, educator: Person) -> None:
    for _ in range(photos.MOST_PHOTOS):
        add(open_head, educator)
    with pytest.raises(AssessmentError, match="12 photos are the most"):
        add(open_head, educator)


def test_one_that_is_taken_off_takes_its_file_along(
    open_head: ReferenceHead,
    educator: Person,
    assessor: Person,
    media: Path,
    django_capture_on_commit_callbacks: Callable[..., AbstractContextManager[object]],
) -> None:
    photo = add(open_head, educator)
    with pytest.raises(AssessmentError, match="Only an educator"):
        photos.remove_reference_photo(photo=photo, by=assessor)
    with django_capture_on_commit_callbacks(execute=True):
        photos.remove_reference_photo(photo=photo, by=educator)
    assert not list(media.rglob("*.jpg"))


def test_published_it_stands_and_its_sum_is_on_the_record(
    open_head: ReferenceHead, educator: Person
) -> None:
    photo = add(open_head, educator)
    publish_reference(reference=open_head, by=educator)
    with pytest.raises(AssessmentError, match="is published and stands"):
        add(open_head, educator)
    with pytest.raises(AssessmentError, match="is published and stands"):
        photos.remove_reference_photo(photo=photo, by=educator)
    for sql in (
        "DELETE FROM assessment_referencephoto",
        "UPDATE assessment_referencephoto SET shows = 'another'",
        INSERT,
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    entry = Entry.objects.get(action="assessment.reference.published")
    assert entry.details["photos"] == [photo.sha256]


def test_the_page_takes_a_photo_with_and_without_script_and_takes_it_off(
    open_head: ReferenceHead, educator: Person, signed_in: Signed, url: Url
) -> None:
    client = signed_in(educator)
    at = url("reference-photo-new", token=open_head.token)
    sent = {"key": new_token(), "shows": "nape", "allowed": "no_face"}
    plain = client.post(at, {**sent, "photo": camera()}, follow=True).content.decode()
    assert 'alt="Photo 1: nape' in plain
    hx = {"HX-Request": "true"}
    part = client.post(at, {**sent, "key": new_token(), "photo": camera()}, headers=hx)
    assert part.status_code == 200
    assert part.content.decode().count("<img") == 2
    assert "<html" not in part.content.decode()
    refused = client.post(at, {**sent, "allowed": "", "photo": camera()}, headers=hx)
    assert refused.status_code == 422
    assert "A face is personal" in refused.content.decode()
    assert 'name="shows" value="nape"' in refused.content.decode()
    assert 'name="shows" value="nape"' not in part.content.decode()
    whole = client.post(at, {**sent, "shows": "", "photo": camera()}).content.decode()
    assert "Agreed levels and faults" in whole
    assert "Nothing here yet. This is needed." in whole
    photo = open_head.photos.first()
    assert photo
    off = url("reference-photo-remove", token=open_head.token, photo=photo.token)
    assert "Take this photo off?" in client.get(off).content.decode()
    client.post(off)
    assert open_head.photos.count() == 1


def test_before_it_is_published_only_educators_see_a_photo_and_apprentices_never(
    open_head: ReferenceHead,
    educator: Person,
    assessor: Person,
    verifier: Person,
    apprentice: Person,
    signed_in: Signed,
    url: Url,
) -> None:
    photo = add(open_head, educator)
    at = url("reference-photo-file", token=open_head.token, photo=photo.token)
    answer = signed_in(educator).get(at)
    assert answer["Cache-Control"] == "private, no-store"
    read_whole(answer)
    for person in (assessor, verifier, apprentice):
        assert signed_in(person).get(at).status_code == 403
    publish_reference(reference=open_head, by=educator)
    for person, status in ((assessor, 200), (verifier, 200), (apprentice, 403)):
        answer = signed_in(person).get(at)
        assert answer.status_code == status
        read_whole(answer)
    other = write_reference(
        academy=open_head.academy, by=educator, version=open_head.module_version, name="Other"
    )
    there = url("reference-photo-file", token=other.token, photo=photo.token)
    assert signed_in(educator).get(there).status_code == 404


def test_assessors_see_the_photos_before_while_and_after_they_mark(
    open_head: ReferenceHead, educator: Person, assessor: Person, chair: Client, url: Url
) -> None:
    photo = add(open_head, educator)
    publish_reference(reference=open_head, by=educator)
    picture = url("reference-photo-file", token=open_head.token, photo=photo.token)
    at = url("reference-detail", token=open_head.token)
    assert picture in chair.get(at).content.decode()
    open_head.refresh_from_db()
    draft = start_reference(reference=open_head, assessor=assessor)
    score = chair.get(url("assessment-score", token=draft.token)).content.decode()
    assert picture in score
    assert "Photos of “Thin nape”" in score
    for one, zone in places_of(open_head.module_version):
        set_level(assessment=draft, by=assessor, criterion=one, zone=zone, level=3)
    set_overall(assessment=draft, by=assessor, rating=4)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    compared = chair.get(at).content.decode()
    assert "Level by level" in compared
    assert picture in compared
