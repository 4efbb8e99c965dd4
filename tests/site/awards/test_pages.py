"""The pages of certificates inside the academy, and the paper itself."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import TYPE_CHECKING

from django.core.files.base import ContentFile
from django.template.loader import render_to_string
from django.test import Client
from pypdf import PdfReader

from academy.assessment.services.signing import verify
from academy.awards.models import Certificate, CertificateFile
from academy.awards.printing import context, public_address
from academy.awards.queries import award_places, state_of
from academy.awards.services import issue_certificate, withdraw_certificate
from academy.awards.state import State
from academy.awards.tasks import print_certificate
from academy.people.models import Academy, Person, Role
from tests.site.making import signed_off, upheld

if TYPE_CHECKING:
    from academy.curriculum.models import Award

Issue = Callable[[], Certificate]
SignedIn = Callable[[Person], Client]


def test_a_manager_issues_from_the_page(
    signed_in: SignedIn, manager: Person, apprentice: Person, complete: Award, no_printing: object
) -> None:
    browser = signed_in(manager)
    url = f"/larkmere/awards/issue/{complete.token}/{apprentice.token}/"
    assert "Issue to Tamsin Orle" in browser.get(url).content.decode()
    response = browser.post(url)
    certificate = Certificate.objects.get()
    assert response.headers["Location"] == f"/larkmere/awards/{certificate.token}/"


def test_an_incomplete_award_says_what_is_missing(
    signed_in: SignedIn, manager: Person, apprentice: Person, award: Award
) -> None:
    url = f"/larkmere/awards/issue/{award.token}/{apprentice.token}/"
    page = signed_in(manager).get(url).content.decode()
    assert "not signed off" in page
    assert "Issue to" not in page


def test_withdrawing_asks_for_a_reason_and_keeps_what_was_typed(
    signed_in: SignedIn, manager: Person, issue: Issue
) -> None:
    certificate = issue()
    url = f"/larkmere/awards/{certificate.token}/withdraw/"
    browser = signed_in(manager)
    refused = browser.post(url, {"reason": "name misspelt"})
    assert refused.status_code == 200
    assert "name misspelt" in refused.content.decode()
    assert browser.post(url, {"reason": "name misspelt", "sure": "on"}).status_code == 302
    assert certificate.events.filter(kind="withdrawn").count() == 1


def test_an_apprentice_sees_their_own_certificate_only(
    signed_in: SignedIn, issue: Issue, apprentice: Person, make_member: Callable[..., Person]
) -> None:
    certificate = issue()
    url = f"/larkmere/awards/{certificate.token}/"
    assert signed_in(apprentice).get(url).status_code == 200
    other = make_member(Role.APPRENTICE)
    assert signed_in(other).get(url).status_code == 404


def test_the_paper_is_one_page_with_the_public_address(press: None, issue: Issue) -> None:
    certificate = issue()
    print_certificate(certificate.pk)
    kept = CertificateFile.objects.get(certificate=certificate)
    with kept.content.open("rb") as paper:
        reader = PdfReader(io.BytesIO(paper.read()))
    text = reader.pages[0].extract_text()
    assert len(reader.pages) == 1
    assert "Tamsin Orle" in text
    assert public_address(certificate).rsplit("/", 2)[1] in text.replace("\n", "")


def test_each_assessor_stands_on_a_line_of_their_own(issue: Issue) -> None:
    paper = render_to_string(
        "print/certificate.html", {**context(issue()), "assessors": ["Ada", "Bo", "Cy"]}
    )
    assert "Ada<br>Bo<br>Cy</dd>" in paper


def test_an_award_without_foils_shows_no_foils(issue: Issue) -> None:
    assert "hd-foil" not in context(issue())["head"]


def test_after_a_withdrawal_the_next_one_says_so_and_takes_its_place(
    signed_in: SignedIn, manager: Person, apprentice: Person, issue: Issue, complete: Award
) -> None:
    first = issue()
    withdraw_certificate(certificate=first, by=manager, reason="name misspelt")
    url = f"/larkmere/awards/issue/{complete.token}/{apprentice.token}/"
    browser = signed_in(manager)
    assert "was withdrawn: name misspelt" in browser.get(url).content.decode()
    browser.post(url)
    assert Certificate.objects.get(number=2).replaces == first


def test_a_withdrawn_paper_is_opened_by_managers_only(
    signed_in: SignedIn, manager: Person, apprentice: Person, issue: Issue
) -> None:
    certificate = issue()
    CertificateFile.objects.create(
        certificate=certificate, content=ContentFile(b"%PDF-", name="x.pdf"), sha256="0" * 64
    )
    withdraw_certificate(certificate=certificate, by=manager, reason="name misspelt")
    url = f"/larkmere/awards/{certificate.token}/certificate.pdf"
    assert signed_in(apprentice).get(url).status_code == 302
    kept = signed_in(manager).get(url)
    assert kept.status_code == 200
    kept.close()


def test_printing_again_keeps_the_first_paper(press: None, issue: Issue) -> None:
    certificate = issue()
    print_certificate(certificate.pk)
    first = CertificateFile.objects.get(certificate=certificate).sha256
    print_certificate(certificate.pk)
    assert CertificateFile.objects.get(certificate=certificate).sha256 == first


def test_the_list_costs_the_same_at_one_and_at_many(
    signed_in: SignedIn,
    manager: Person,
    academy: Academy,
    issue: Issue,
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    issue()
    browser = signed_in(manager)
    browser.get("/larkmere/awards/")
    with django_assert_max_num_queries(30) as counted:  # type: ignore[attr-defined]
        browser.get("/larkmere/awards/")
    at_one = len(counted.captured_queries)
    first = Certificate.objects.get()
    for number in range(2, 41):
        Certificate.objects.create(
            academy=academy, number=number, holder=first.holder, holder_name=first.holder_name,
            award=first.award, award_title=first.award_title, modules=first.modules,
            issued_on=first.issued_on, valid_until=first.valid_until, issued_by=manager,
        )  # fmt: skip
    with django_assert_max_num_queries(30) as counted:  # type: ignore[attr-defined]
        browser.get("/larkmere/awards/")
    assert len(counted.captured_queries) == at_one


def test_after_an_overturned_sign_off_the_next_one_replaces_the_lapsed(
    signed_in: SignedIn,
    client: Client,
    manager: Person,
    assessor: Person,
    apprentice: Person,
    verifier: Person,
    issue: Issue,
    complete: Award,
) -> None:
    first = issue()
    verify(
        sign_off=first.sign_offs.get(),
        verifier=verifier,
        result="overturned",
        text="not their own work",
    )
    upheld(signed_off(complete.modules.get().versions.get(), assessor, apprentice), verifier)
    url = f"/larkmere/awards/issue/{complete.token}/{apprentice.token}/"
    browser = signed_in(manager)
    assert "certificate 0001 lapsed" in browser.get("/larkmere/awards/").content.decode()
    page = browser.get(url).content.decode()
    assert ": A sign-off it rests on was overturned." in page
    browser.post(url)
    second = Certificate.objects.get(number=2)
    assert second.replaces == first
    assert state_of(first).state is State.REPLACED
    public = client.get(f"/c/{first.token}/").content.decode()
    assert "<strong>Replaced</strong>" in public
    for one, other in ((first, second), (second, first)):
        page = browser.get(f"/larkmere/awards/{one.token}/").content.decode()
        assert f"/larkmere/awards/{other.token}/" in page
    assert browser.post(url).status_code == 302
    assert Certificate.objects.count() == 2


def test_one_that_was_replaced_is_not_replaced_again(
    manager: Person, apprentice: Person, academy: Academy, issue: Issue, complete: Award
) -> None:
    first = issue()
    withdraw_certificate(certificate=first, by=manager, reason="name misspelt")
    second = issue_certificate(
        academy=academy, award=complete, holder=apprentice, by=manager, replaces=first
    )
    withdraw_certificate(certificate=second, by=manager, reason="the other name")
    (place,) = award_places(academy, [apprentice.pk])
    assert place.ended == second
    assert state_of(first).state is State.WITHDRAWN


def test_one_that_stands_leaves_nothing_to_replace(
    signed_in: SignedIn, manager: Person, apprentice: Person, issue: Issue, complete: Award
) -> None:
    withdraw_certificate(certificate=issue(), by=manager, reason="name misspelt")
    second = issue()
    assert not hasattr(second, "replaced_by")
    url = f"/larkmere/awards/issue/{complete.token}/{apprentice.token}/"
    assert signed_in(manager).post(url).headers["Location"] == f"/larkmere/awards/{second.token}/"
    assert Certificate.objects.count() == 2
