from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.people import services
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, Invitation, Person, Role
from tests.site.factories import CohortFactory

if TYPE_CHECKING:
    from django.test import Client
    from pytest_django import DjangoAssertNumQueries

TWO = "a@example.test,Ada Wick,apprentice,Plover\nb@example.test,Bo Lund,assessor,\n"
OTHER = "assessor;;Bo Lund;b@example.test"
SHORT = "Bo Lund\tb@example.test\tassessor"


def test_a_good_list_invites_everybody_with_one_entry(
    academy: Academy, manager: Person, plover: Cohort, one_entry: Any
) -> None:
    with one_entry("people.invitation.sent_many"):
        sent = services.invite_many(academy=academy, by=manager, text=TWO)
    assert [(row.email, row.role, row.cohort) for row in sent] == [
        ("a@example.test", "apprentice", plover),
        ("b@example.test", "assessor", None),
    ]
    assert len(mail.outbox) == 2


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + TWO,
        TWO.replace(",", ";"),
        TWO.replace(",", "\t"),
        TWO.replace("\n", "\r\n"),
        "E-mail,Name,Role,Cohort\n" + TWO,
        "Role;Group;Name;E-Mail\napprentice;Plover;Ada Wick;a@example.test\n" + OTHER,
        "NAME\tAddress\trole\nAda Wick\ta@example.test\tapprentice\n" + SHORT,
        "\n\n" + TWO + "\n , , ,\n",
        TWO.replace("Ada Wick", ' "Ada  Wick"'),
        TWO.replace("a@example.test", "A@Example.TEST").replace("assessor", " Assessor "),
        TWO.replace("Plover", "  plover "),
        TWO.replace("assessor,\n", "assessor\n"),
        TWO.replace("assessor,\n", "assessor,,,\n"),
    ],
)
def test_lists_are_read_as_people_write_them(academy: Academy, plover: Cohort, text: str) -> None:
    reading = services.read_invitations(academy, text)
    assert not reading.bad
    assert [(line.email, line.name) for line in reading.lines] == [
        ("a@example.test", "Ada Wick"),
        ("b@example.test", "Bo Lund"),
    ]


def test_a_name_with_a_comma_goes_between_quotation_marks(academy: Academy) -> None:
    reading = services.read_invitations(academy, 'a@example.test,"Wick, Ada",assessor')
    assert reading.lines[0].name == "Wick, Ada"


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("no-address,Cy Dale,assessor,", "not an e-mail address"),
        (",Cy Dale,assessor,", "no e-mail address"),
        (f"{'c' * 250}@example.test,Cy Dale,assessor,", "longer than 254"),
        ("c@example.test,,assessor,", "no name"),
        (f"c@example.test,{'C' * 121},assessor,", "121 characters"),
        ('c@example.test,"Cy\nDale",assessor,', "several lines"),
        ("c@example.test,Cy Dale,,", "no role"),
        ("c@example.test,Cy Dale,boss,", "no role “boss”"),
        ("c@example.test,Cy Dale,apprentice,Wren", "no cohort “Wren”"),
        ("c@example.test,Cy Dale,apprentice,Bittern", "Bittern ended on"),
        ("c@example.test,Cy Dale,verifier,Plover", "Only apprentices"),
        ("c@example.test,Dale,Cy,assessor,Plover", "5 columns"),
        ("c@example.test", "no name"),
        ("A@EXAMPLE.TEST,Ada Wick,apprentice,", "same person and role as in line 1"),
        ("tamsin@example.test,Tamsin Orle,apprentice,", "here already"),
        ("pia@example.test,Pia Harrow,assessor,", "open invitation"),
    ],
)
def test_one_bad_line_is_named_and_nothing_is_sent(
    academy: Academy,
    manager: Person,
    plover: Cohort,
    invited: Callable[..., Invitation],
    make_member: Callable[..., Person],
    line: str,
    reason: str,
) -> None:
    CohortFactory(academy=academy, name="Bittern", ends_on=timezone.localdate() - timedelta(days=9))
    make_member(Role.APPRENTICE, email="tamsin@example.test")
    invited()
    entries, mails = Entry.objects.count(), len(mail.outbox)
    with pytest.raises(services.BadLinesError) as refused:
        services.invite_many(academy=academy, by=manager, text=TWO + line)
    [bad] = refused.value.bad
    assert bad.number == 3
    assert reason in bad.reason
    assert Invitation.objects.count() == 1
    assert (Entry.objects.count(), len(mail.outbox)) == (entries, mails)


def test_every_bad_line_is_named_with_its_own_number(academy: Academy) -> None:
    text = 'x,Ada,assessor\n\n"b@example.test","Bo\nLund",assessor\nc@example.test,Cy,nobody\n'
    bad = services.read_invitations(academy, text).bad
    assert [line.number for line in bad] == [1, 3, 5]


@pytest.mark.parametrize("second", ['b@example.test,"Bo,assessor', 'b@example.test,"B"o,assessor'])
def test_quotation_marks_that_do_not_pair_up_are_named(academy: Academy, second: str) -> None:
    [broken] = services.read_invitations(academy, f"a@example.test,Ada,assessor\n{second}").bad
    assert (broken.number, "do not pair up" in broken.reason) == (2, True)


def test_an_empty_list_is_said(academy: Academy) -> None:
    [empty] = services.read_invitations(academy, "e-mail,name,role,cohort\n").bad
    assert (empty.number, "no line" in empty.reason) == (0, True)


def people(count: int) -> str:
    return "".join(f"p{n}@example.test,Person {n},apprentice,Plover\n" for n in range(count))


def test_five_hundred_lines_are_read_in_three_queries_and_one_more_is_refused(
    academy: Academy, plover: Cohort, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_num_queries(3):
        reading = services.read_invitations(academy, people(500))
    assert (len(reading.lines), reading.bad) == (500, [])
    [bad] = services.read_invitations(academy, people(501)).bad
    assert "501 lines" in bad.reason


def test_a_list_of_five_hundred_is_sent_whole(
    academy: Academy, manager: Person, plover: Cohort
) -> None:
    services.invite_many(academy=academy, by=manager, text=people(500))
    assert Invitation.objects.count() == len(mail.outbox) == 500


def test_only_managers_send_lists(academy: Academy, verifier: Person, plover: Cohort) -> None:
    with pytest.raises(PeopleError, match="Only a manager"):
        services.invite_many(academy=academy, by=verifier, text=TWO)


def test_the_page_shows_what_was_read_and_sends_on_the_second_press(
    academy: Academy, manager: Person, plover: Cohort, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    url = reverse("people:invitation-upload", args=[academy.slug])
    read = browser.post(url, {"lines": TWO, "read": "yes"}).content.decode()
    assert "Send 2 invitations" in read
    assert "Ada Wick" in read
    assert not Invitation.objects.exists()
    assert browser.post(url, {"lines": TWO, "send": "yes"}).status_code == 302
    again = browser.post(url, {"lines": TWO, "send": "yes"}).content.decode()
    assert "2 lines cannot be used" in again
    assert Invitation.objects.count() == 2


def test_a_file_takes_the_place_of_the_text_and_stays_on_the_page(
    academy: Academy, manager: Person, plover: Cohort, signed_in: Callable[[Person], Client]
) -> None:
    file = SimpleUploadedFile("people.csv", ("\ufeff" + TWO).encode())
    url = reverse("people:invitation-upload", args=[academy.slug])
    page = signed_in(manager).post(url, {"lines": "x", "file": file, "read": "yes"})
    assert "b@example.test,Bo Lund,assessor," in page.content.decode()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("a@example.test,Zoë,assessor".encode("cp1252"), "cannot be read"),
        (b"x" * 200_001, "Too big"),
    ],
)
def test_a_file_that_cannot_be_used_says_why(
    academy: Academy,
    manager: Person,
    signed_in: Callable[[Person], Client],
    data: bytes,
    words: str,
) -> None:
    url = reverse("people:invitation-upload", args=[academy.slug])
    page = signed_in(manager).post(url, {"file": SimpleUploadedFile("people.csv", data)})
    assert words in page.content.decode()


def test_bad_lines_stand_on_the_page_and_the_list_stays(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    url = reverse("people:invitation-upload", args=[academy.slug])
    page = signed_in(manager).post(url, {"lines": "oops,Ada,boss", "send": "yes"}).content.decode()
    assert "Line 1:" in page
    assert "oops,Ada,boss" in page
    assert signed_in(manager).post(url, {}).status_code == 200


@pytest.mark.parametrize(
    ("heading", "reason"),
    [
        ("e-mail,name,phone,role", "Column “phone” is not used here."),
        ("e-mail,name,cohort", "The heading names no column for the role."),
        ("e-mail,address,name,role", "Two columns hold the e-mail. Keep one."),
    ],
)
def test_a_heading_that_cannot_be_used_says_why(
    academy: Academy, heading: str, reason: str
) -> None:
    reading = services.read_invitations(academy, f"{heading}\na@example.test,Ada,1,assessor")
    assert (reading.bad[0].number, reading.bad[0].reason) == (1, reason)


def test_a_line_longer_than_its_heading_is_refused(academy: Academy) -> None:
    text = "name,e-mail,role\nWick, Ada,a@example.test,assessor"
    [bad] = services.read_invitations(academy, text).bad
    assert bad.reason.startswith("4 columns. The heading has 3.")
