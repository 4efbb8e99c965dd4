"""The result sheet as PDF: asked for, made by a worker, fetched, deleted after a week."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.core.files.storage import default_storage
from django.utils import timezone
from pypdf import PdfReader

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, ResultPrint
from academy.assessment.services import faults
from academy.assessment.services.appealing import appeal
from academy.assessment.services.printing import ask_result_print
from academy.assessment.services.ruling import rule
from academy.assessment.services.submitting import submit
from academy.assessment.services.withdrawing import withdraw
from academy.assessment.tasks import forget_results, make_result
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.people.models import Role
from academy.web import tasks
from academy.web.pdf import PdfError
from tests.site.assessment.places import at_place
from tests.site.making import draft_head, full_boxes, judged_head, mark_all, second_mark

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person
from tests.site.world import needs_press


@pytest.fixture(autouse=True)
def _press() -> None:
    needs_press()


@pytest.fixture
def head(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """Levels of 3, a fault on the crown, and cautions of the module."""
    draft = draft_head(version, assessor, apprentice)
    mark_all(draft, level=3, overall=4)
    faults.place_fault(
        assessment=draft,
        by=assessor,
        common="gap",
        note="two stitches",
        **at_place(zone_centre(Zone.CROWN)),
    )
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    return draft


def text_of(data: bytes) -> str:
    """The words of a PDF, one space between them."""
    return " ".join(
        " ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split()
    )


@pytest.fixture
def phone(apprentice: Person, signed_in: Callable[[Person], Client]) -> Client:
    return signed_in(apprentice)


def test_the_apprentice_asks_waits_and_fetches_the_sheet(
    academy: Academy,
    head: Assessment,
    phone: Client,
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    entries()
    at = url("result-print", token=head.token)
    assert "Nothing yet." in phone.get(at).content.decode()
    page = phone.post(at, follow=True).content.decode()
    assert "Download PDF" in page
    assert entries() == ["assessment.assessment.printed"]
    answer = phone.get(url("result-download", token=ResultPrint.objects.get().token))
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "private, no-store"
    text = text_of(answer.content)
    for words in (
        "Competent",
        "Tamsin Orle",
        "The head mark is 75 of 100",
        "laid out within reach",
        "Before you come back: the same on a full head",
        "What was met",
        "coverage; gloves on",
        "Gap. Crown: two stitches",
        "This sheet is for training",
        f"Larkmere Academy of Hair Colour · The coverage module, version 1 · R{head.pk:06d}",
    ):
        assert " ".join(words.split()).casefold() in text.casefold(), (words, text)
    pages = len(PdfReader(io.BytesIO(answer.content)).pages)
    assert f"page 1 of {pages}" in text
    assert f"page {pages} of {pages}" in text


def test_the_form_number_finds_the_sheet_again(
    head: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    at = url("assessment-list")
    assert "Tamsin Orle" in chair.get(at, {"q": f"R{head.pk:06d}"}).content.decode()
    assert "No head fits" in chair.get(at, {"q": f"R{head.pk + 1:06d}"}).content.decode()


def test_a_kept_file_has_a_name_that_says_nothing(head: Assessment, apprentice: Person) -> None:
    asked = ask_result_print(assessment=head, by=apprentice)
    before = str(asked.file.name)
    assert before.startswith("results/")
    assert head.token not in before
    assert asked.token not in before
    make_result(asked.pk)
    asked.refresh_from_db()
    assert asked.file.name == before


def test_asked_again_while_one_is_being_made_it_is_that_one(
    head: Assessment,
    apprentice: Person,
    assessor: Person,
    monkeypatch: pytest.MonkeyPatch,
    phone: Client,
    url: Callable[..., str],
) -> None:
    monkeypatch.setattr(tasks, "_deliver", lambda *_, **__: None)
    first = ask_result_print(assessment=head, by=apprentice)
    assert ask_result_print(assessment=head, by=apprentice) == first
    assert ask_result_print(assessment=head, by=assessor) != first
    part = phone.get(url("result-print", token=head.token), headers={"hx-request": "true"})
    text = part.content.decode()
    assert "waiting for the worker" in text
    assert 'hx-trigger="every 2s"' in text
    assert "<html" not in text


def test_files_are_deleted_after_a_week(head: Assessment, apprentice: Person) -> None:
    asked = ask_result_print(assessment=head, by=apprentice)
    name = str(asked.file.name)
    with time_machine.travel(timezone.now() + timedelta(days=6)):
        forget_results()
    assert default_storage.exists(name)
    with time_machine.travel(timezone.now() + timedelta(days=8)):
        forget_results()
    assert not default_storage.exists(name)
    assert not ResultPrint.objects.exists()


def test_what_cannot_be_made_says_why(
    head: Assessment,
    apprentice: Person,
    phone: Client,
    url: Callable[..., str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise PdfError("PDFs need libraries that are not on this machine.")

    monkeypatch.setattr("academy.assessment.tasks.render_pdfs", broken)
    page = phone.post(url("result-print", token=head.token), follow=True).content.decode()
    assert "PDFs need libraries that are not on this machine." in page


def test_while_a_second_assessor_looks_the_apprentice_gets_no_pdf(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    phone: Client,
    url: Callable[..., str],
) -> None:
    waiting = judged_head(version, assessor, apprentice, level=3, overall=1)
    with pytest.raises(AssessmentError, match="can be printed once it is decided"):
        ask_result_print(assessment=waiting, by=apprentice)
    theirs = ask_result_print(assessment=waiting, by=assessor)
    assert phone.get(url("result-download", token=theirs.token)).status_code == 404
    assert "Nothing yet." in phone.get(url("result-print", token=waiting.token)).content.decode()
    sheet = phone.get(url("result-detail", token=waiting.token)).content.decode()
    assert "Print this sheet" not in sheet


def test_no_print_of_a_head_that_was_opened_again_reaches_whoever_may_mark_it_blind(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    """Printed while it stood; then the apprentice appealed."""
    head = judged_head(version, assessor, apprentice, level=1, overall=1)
    desk, theirs = signed_in(colleague), signed_in(apprentice)
    addresses = {
        person: url("result-download", token=ask_result_print(assessment=head, by=person).token)
        for person in (verifier, apprentice)
    }
    assert desk.get(addresses[verifier]).status_code == 200
    assert theirs.get(addresses[apprentice]).status_code == 200
    appeal(assessment=head, apprentice=apprentice, text="The gloves were on.")
    assert desk.get(addresses[verifier]).status_code == 404
    assert theirs.get(addresses[apprentice]).status_code == 404
    assert signed_in(verifier).get(addresses[verifier]).status_code == 200
    second_mark(head, colleague, level=1, overall=1)
    assert desk.get(addresses[verifier]).status_code == 200


def test_after_one_more_head_it_is_not_said_that_this_one_will_be_decided(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    apprentice: Person,
) -> None:
    first = judged_head(version, assessor, apprentice, drawn=True)
    second = second_mark(first, colleague, level=1, overall=1)
    rule(first=first, second=second, verifier=verifier, decision="one_more", reason="Too dark.")
    first = Assessment.objects.for_result().get(pk=first.pk)
    with pytest.raises(AssessmentError, match="This one has no outcome to print") as refused:
        ask_result_print(assessment=first, by=apprentice)
    assert "once it is decided" not in str(refused.value)


def test_what_takes_the_place_of_a_withdrawn_sheet_is_decided_before_either_is_printed(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = judged_head(version, assessor, apprentice, drawn=True)
    withdraw(assessment=head, by=assessor, reason="levels of another head")
    with pytest.raises(AssessmentError, match="what takes its place is not decided"):
        ask_result_print(assessment=Assessment.objects.get(pk=head.pk), by=apprentice)


def test_nobody_elses_sheet_is_printed(
    head: Assessment,
    apprentice: Person,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    other_academy: Academy,
) -> None:
    other = make_member(Role.APPRENTICE)
    asked = ask_result_print(assessment=head, by=apprentice)
    with pytest.raises(AssessmentError, match="Only the apprentice"):
        ask_result_print(assessment=head, by=other)
    outsider = make_member(Role.MANAGER, other_academy)
    for person in (other, outsider):
        browser = signed_in(person)
        assert browser.post(url("result-print", token=head.token)).status_code == 404
        assert browser.get(url("result-download", token=asked.token)).status_code == 404


def test_a_draft_has_no_sheet(draft: Assessment, assessor: Person) -> None:
    with pytest.raises(AssessmentError):
        ask_result_print(assessment=draft, by=assessor)


def test_a_withdrawn_sheet_says_so_on_paper(
    head: Assessment, assessor: Person, chair: Client, url: Callable[..., str]
) -> None:
    withdraw(assessment=head, by=assessor, reason="levels of another head")
    chair.post(url("result-print", token=head.token))
    answer = chair.get(url("result-download", token=ResultPrint.objects.get().token))
    text = text_of(answer.content)
    assert "Withdrawn by Dilys Okafor-Reed" in text
    assert "levels of another head" in text
