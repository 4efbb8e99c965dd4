"""What was withdrawn of a head that waits for its second mark tells as much as its first mark."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from academy.assessment.blind import heads_kept_from
from academy.assessment.models import Assessment, Photo
from academy.assessment.services.second import ask_for_second_mark
from academy.assessment.services.submitting import submit
from academy.assessment.services.withdrawing import begin_again, withdraw
from academy.audit.models import Entry
from academy.audit.reading import readable
from academy.audit.sentences import render
from academy.people.models import Role
from tests.site.making import draft_head, full_boxes, judged_head, mark_all, second_mark
from tests.site.world import photograph

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]


@pytest.fixture
def withdrawn(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """A "not yet" with a photo, taken back."""
    head = draft_head(version, assessor, apprentice)
    mark_all(head, level=1, overall=1)
    photograph(head, assessor)
    submit(assessment=head, by=assessor, points=[full_boxes()])
    withdraw(assessment=head, by=assessor, reason="levels of another head")
    return Assessment.objects.get(pk=head.pk)


def wished_for(draft: Assessment) -> Assessment:
    """Submitted with a second mark asked for."""
    ask_for_second_mark(assessment=draft, by=draft.assessor, reason="light")
    submit(assessment=draft, by=draft.assessor, points=[full_boxes()])
    return Assessment.objects.get(pk=draft.pk)


@pytest.fixture
def waiting(withdrawn: Assessment, assessor: Person) -> Assessment:
    """The same head with the same levels, which waits for its second mark."""
    return wished_for(begin_again(withdrawn=withdrawn, by=assessor))


def told_of(head: Assessment, reader: Person) -> list[str]:
    entries = Entry.objects.filter(subject_type="assessment.assessment", subject_id=head.pk)
    found = readable(entries, reader_id=reader.pk, academy_id=head.academy_id)
    return [line.sentence for line in render(found)]


def test_neither_sheet_nor_photo_nor_list_nor_record_shows_it_to_a_second_assessor(
    withdrawn: Assessment,
    waiting: Assessment,
    verifier: Person,
    colleague: Person,
    also: Callable[..., None],
    academy: Academy,
    signed_in: SignedIn,
    url: Url,
) -> None:
    photo = Photo.objects.get(assessment=withdrawn)
    also(colleague, Role.VERIFIER)
    browser = signed_in(colleague)
    for name in ("result-detail", "explained", "result-print"):
        assert browser.get(url(name, token=withdrawn.token)).status_code == 404
    at = url("photo-file", token=withdrawn.token, photo=photo.token)
    assert browser.get(at).status_code == 404
    for question in ({}, {"only": "withdrawn"}, {"q": f"R{withdrawn.pk:06d}"}):
        listed = browser.get(url("assessment-list"), question).content.decode()
        assert withdrawn.token not in listed
    assert told_of(withdrawn, colleague) == []
    assert told_of(withdrawn, verifier) != []
    pack = browser.get(f"/{academy.slug}/evidence/assessment/{withdrawn.token}/")
    assert pack.status_code == 404


def test_the_whole_row_of_withdrawn_ones_is_kept_however_long(
    withdrawn: Assessment, assessor: Person, colleague: Person, academy: Academy
) -> None:
    again = begin_again(withdrawn=withdrawn, by=assessor)
    submit(assessment=again, by=assessor, points=[full_boxes()])
    withdraw(assessment=again, by=assessor, reason="once more")
    last = wished_for(begin_again(withdrawn=Assessment.objects.get(pk=again.pk), by=assessor))
    assert heads_kept_from(colleague, academy) == {withdrawn.pk, again.pk, last.pk}
    assert heads_kept_from(assessor, academy) == set()


def test_one_begun_by_the_usual_form_takes_its_place_all_the_same(
    version: ModuleVersion,
    withdrawn: Assessment,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
    academy: Academy,
) -> None:
    draft = draft_head(version, assessor, apprentice)
    assert heads_kept_from(colleague, academy) == {withdrawn.pk}
    mark_all(draft, level=1, overall=1)
    head = wished_for(draft)
    assert heads_kept_from(colleague, academy) == {withdrawn.pk, head.pk}
    second_mark(head, colleague, level=1, overall=1)
    assert heads_kept_from(colleague, academy) == set()
    seen = Assessment.objects.visible_to(colleague, academy)
    assert seen.filter(pk=withdrawn.pk).exists()


def test_one_that_asked_for_a_second_look_is_kept_from_the_moment_it_is_withdrawn(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
    academy: Academy,
    make_member: Callable[..., Person],
) -> None:
    head = judged_head(version, assessor, apprentice, drawn=True)
    withdraw(assessment=head, by=assessor, reason="levels of another head")
    assert heads_kept_from(colleague, academy) == {head.pk}
    another = make_member(Role.APPRENTICE)
    alone = judged_head(version, assessor, another)
    withdraw(assessment=alone, by=assessor, reason="levels of another head")
    assert Assessment.objects.visible_to(colleague, academy).filter(pk=alone.pk).exists()


def test_the_apprentice_reads_that_it_was_withdrawn_and_not_what_stood_on_it(
    withdrawn: Assessment,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    browser, at = signed_in(apprentice), url("result-detail", token=withdrawn.token)
    assert "Levels given" in browser.get(at).content.decode()
    waiting = wished_for(begin_again(withdrawn=withdrawn, by=assessor))
    page = browser.get(at).content.decode()
    assert "levels of another head" in page
    assert "Levels given" not in page
    assert "stays readable below" not in page
    assert browser.get(url("explained", token=withdrawn.token)).status_code == 404
    assert told_of(withdrawn, apprentice) == []
    second_mark(waiting, colleague, level=4)
    assert "Levels given" not in browser.get(at).content.decode()
    assert told_of(withdrawn, apprentice) == told_of(waiting, apprentice) == []
