"""Whoever learns here reads of their own undecided head what an apprentice reads, and no more."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.assessment.models import Assessment, Photo
from academy.assessment.services.ruling import rule
from academy.assessment.services.scoring import discard_draft
from academy.assessment.services.second import assign_second_mark, start_second_mark
from academy.assessment.services.signing import verify
from academy.assessment.services.submitting import submit
from academy.audit.models import Entry
from academy.audit.reading import readable
from academy.audit.sentences import render
from academy.craft.judging.marking import SecondCause
from academy.people.acting import session_key
from academy.people.models import Role
from academy.reports.models import EvidencePack
from academy.reports.packs.build import pack_files
from tests.site.factories import member
from tests.site.making import draft_head, full_boxes, mark_all, second_mark, sign_on
from tests.site.world import photograph

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]
MORE = [Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER]


@pytest.fixture(params=MORE)
def role(request: pytest.FixtureRequest) -> Role:
    held: Role = request.param
    return held


@pytest.fixture
def learner(apprentice: Person, also: Callable[..., None], role: Role) -> Person:
    """An apprentice who holds one more role."""
    also(apprentice, role)
    return apprentice


@pytest.fixture
def head(version: ModuleVersion, assessor: Person, learner: Person) -> Assessment:
    """Their own, a "not yet" that the sample drew, with a photo."""
    draft = draft_head(version, assessor, learner)
    mark_all(draft, level=1, overall=1)
    photograph(draft, assessor)
    submit(assessment=draft, by=assessor, points=[full_boxes()], asked_for=[SecondCause.SAMPLE])
    return Assessment.objects.get(pk=draft.pk)


@pytest.fixture
def given(head: Assessment, colleague: Person, academy: Academy) -> Assessment:
    """The same, its second mark given to a colleague, who began it anew."""
    assign_second_mark(first=head, assessor=colleague, by=member(academy, Role.EDUCATOR))
    draft = start_second_mark(first=head, assessor=colleague)
    discard_draft(assessment=draft, by=colleague)
    start_second_mark(first=head, assessor=colleague)
    return head


def pages(browser: Client, academy: Academy, role: Role, head: Assessment, url: Url) -> list[str]:
    """What they may open that could tell of it, as far as it answers."""
    session = browser.session
    session[session_key(academy)] = role.value
    session.save()
    person, module = head.apprentice.token, head.module_version.module.token
    here = {"academy": academy.slug, "person": person}
    addresses = [
        f"/{academy.slug}/",
        reverse("reports:progress", kwargs={"academy": academy.slug, "token": person}),
        reverse("reports:standing", kwargs={**here, "module": module}),
        url("again", person=person, module=module),
        url("result-detail", token=head.token),
        url("explained", token=head.token),
        url("pair-detail", token=head.token),
        *(url(name) for name in ("second-list", "pair-list", "assessment-list", "result-list")),
        url("assessment-list") + "?only=notyet",
        url("assessment-list") + f"?q=R{head.pk:06d}",
    ]
    answers = [browser.get(address) for address in addresses]
    return [answer.content.decode() for answer in answers if answer.status_code == 200]


def sentences(head: Assessment, reader: Person) -> str:
    entries = readable(
        Entry.objects.for_history(head.academy_id),
        reader_id=reader.pk,
        academy_id=head.academy_id,
    )
    return "\n".join(line.sentence for line in render(entries))


def check_nothing_is_told(
    head: Assessment,
    learner: Person,
    colleague: Person,
    role: Role,
    browser: Client,
    url: Url,
) -> None:
    sheet = browser.get(url("result-detail", token=head.token)).content.decode()
    assert "Being looked at by a second assessor" in sheet
    assert browser.get(url("explained", token=head.token)).status_code == 404
    photo = Photo.objects.get(assessment=head)
    at = url("photo-file", token=head.token, photo=photo.token)
    assert browser.get(at).status_code == 404
    pack = f"/{head.academy.slug}/evidence/assessment/{head.token}/"
    assert browser.get(pack).status_code == 404
    for page in pages(browser, head.academy, role, head, url):
        assert colleague.name not in page
        assert "Levels given" not in page
        assert "The head mark is" not in page
        assert "25 of 100" not in page.replace("\u00a0", " ")
    record = sentences(head, learner)
    assert colleague.name not in record
    assert "not yet" not in record


def test_no_other_role_opens_their_own_head_while_somebody_looks(
    given: Assessment,
    learner: Person,
    colleague: Person,
    role: Role,
    signed_in: SignedIn,
    url: Url,
) -> None:
    check_nothing_is_told(given, learner, colleague, role, signed_in(learner), url)
    listed = signed_in(learner)
    if role in (Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER):
        page = listed.get(url("assessment-list"), {"only": "notyet"}).content.decode()
        assert given.token not in page


def test_nor_while_the_two_marks_wait_for_a_ruling_nor_after_one_more_head(
    head: Assessment,
    learner: Person,
    colleague: Person,
    verifier: Person,
    role: Role,
    signed_in: SignedIn,
    url: Url,
) -> None:
    second = second_mark(head, colleague, level=4)
    browser = signed_in(learner)
    check_nothing_is_told(head, learner, colleague, role, browser, url)
    assert browser.get(url("result-detail", token=second.token)).status_code == 404
    first = Assessment.objects.get(pk=head.pk)
    rule(first=first, second=second, verifier=verifier, decision="one_more", reason="Too dark.")
    page = browser.get(url("result-detail", token=head.token)).content.decode()
    assert "One more head" in page
    assert "Levels given" not in page
    assert "not yet" not in sentences(head, learner)


def test_once_ruled_they_read_the_mark_that_stands_and_not_who_gave_it(
    head: Assessment,
    learner: Person,
    colleague: Person,
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    second = second_mark(head, colleague, level=4)
    first = Assessment.objects.get(pk=head.pk)
    rule(first=first, second=second, verifier=verifier, decision="second", reason="Photo.")
    browser = signed_in(learner)
    page = browser.get(url("result-detail", token=head.token)).content.decode()
    assert "The head mark is 100" in page
    assert colleague.name not in page
    assert browser.get(url("result-detail", token=second.token)).status_code == 404
    assert colleague.name not in sentences(head, learner)


def test_words_of_staff_are_not_in_the_pack_of_their_own_sign_off(
    version: ModuleVersion,
    assessor: Person,
    learner: Person,
    verifier: Person,
    academy: Academy,
) -> None:
    draft = draft_head(version, assessor, learner)
    mark_all(draft, level=4, overall=4)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    row = sign_on(version, assessor, learner)
    day = timezone.localdate() + timedelta(days=7)
    verify(
        sign_off=row, verifier=verifier, result="action_needed", text="Add the nape.", due_on=day
    )
    about = EvidencePack.About.SIGN_OFF
    pack = EvidencePack.objects.create(
        academy=academy, about=about, subject_id=row.pk, asked_by=learner
    )
    files = pack_files(pack, lambda *_: None)
    (check,) = json.loads(files["decision.json"])["sign_offs"][0]["verifications"]
    assert check["result"] == "action_needed"
    assert "text" not in check
