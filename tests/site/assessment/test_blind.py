"""The second mark is blind: no levels, rating, feedback or name of the first until submitted.

Every address of the site is opened as the second assessor, once as an assessor only and once
holding every staff role, and searched for what the first assessor left.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.utils import timezone

from academy.assessment.models import Assessment, Booking
from academy.assessment.services import booking as bookings, faults, scoring, submitting
from academy.assessment.services.second import ask_for_second_mark, start_second_mark
from academy.people.acting import session_key
from academy.people.models import Person, Role
from tests.site.addresses import INSIDE, Row, read_whole
from tests.site.factories import MembershipFactory, PersonFactory
from tests.site.world import WHOLE, World, build, mark_head, mark_into

if TYPE_CHECKING:
    from django.test import Client

FIRST = "Quillon Vasterby"
WORDS = {
    "note": "marmalade on the comb",
    "fault note": "tangerine by the ear",
    "feedback seen": "apricot at the seam",
    "feedback why": "quince under the thumb",
    "feedback next": "medlar panels until noon",
    "wish": "damson in the lamp",
    # 100 x (2 x 3 + 4) / 12
    "head mark": "83.3",
    "exact head mark": "250/3",
    "minutes": "37 min",
    "time begun": "03:17",
    # An appeal against another head, which they may be asked to mark blind as well.
    "appeal": "The panel was level when it was laid.",
    "state of the appeal": "second look to be given",
}
# Pages that name everybody of the academy, whatever they did.
LISTS_PEOPLE = {
    "people:member-list",
    "people:invitation-list",
    "reports:record",  # the choice of a person
    "assessment:booking-detail",  # the choice of an assessor
    "people:cohort-new",
}


@pytest.fixture
def world() -> World:
    cache.clear()
    return build()


@pytest.fixture
def first(world: World) -> Assessment:
    """Submitted by somebody who did nothing else, with all that can be written on a head."""
    Assessment.objects.get(token=world.tokens["head"]).delete()
    assessor: Person = PersonFactory(name=FIRST)
    MembershipFactory(academy=world.academy, person=assessor, role=Role.ASSESSOR)
    asked = Booking.objects.get(token=world.tokens["booking"])
    booked = bookings.book(
        booking=asked,
        by=world.educator,
        assessor=assessor,
        at=timezone.now() + timedelta(hours=2),
        place="chair 9",
    )
    theirs = replace(world, people={**world.people, Role.ASSESSOR: assessor})
    head = mark_head(theirs, world.version)
    must = world.version.criteria.get(code="S2")
    scoring.set_level(assessment=head, by=assessor, criterion=must, zone="", level=4)
    mark = head.fault_marks.get()
    faults.change_fault(
        mark=mark, by=assessor, fault=mark.fault, common="", note=WORDS["fault note"]
    )
    scoring.set_notes(assessment=head, by=assessor, minutes_used=37, note=WORDS["note"])
    ask_for_second_mark(assessment=head, by=assessor, reason=WORDS["wish"])
    Assessment.objects.filter(pk=head.pk).update(
        booking=booked, started_at=timezone.now().replace(hour=3, minute=17)
    )
    boxes = replace(
        WHOLE,
        seen_what=WORDS["feedback seen"],
        why=WORDS["feedback why"],
        next_action=WORDS["feedback next"],
    )
    head = Assessment.objects.for_scoring().get(pk=head.pk)
    submitting.submit(assessment=head, by=assessor, points=[boxes])
    head.refresh_from_db()
    assert str(head.outcome.head_mark) == "83.333"
    return head


@pytest.fixture
def second(world: World, first: Assessment) -> Person:
    """Marks the same head and has not submitted; their own draft stands at the addresses."""
    person = Person.objects.get(name="Joren Pask")
    draft = start_second_mark(first=first, assessor=person)
    mark_into(draft, level=1, rating=2)
    world.tokens.update(head=draft.token, result=first.token, awaited=first.token)
    world.tokens.update(split=first.token, ruled=first.token)
    return person


def read(browser: Client, row: Row, address: str) -> str:
    """All that an address answers: the page, its headers, and what a workbook holds."""
    with transaction.atomic():
        answer = browser.post(address) if row.post else browser.get(address)
        text = str(answer.headers) + _body(answer)
        transaction.set_rollback(True)
    return text


def _body(answer: Any) -> str:
    if answer.streaming:
        read_whole(answer)
        return ""
    if answer.content.startswith(b"PK"):
        with zipfile.ZipFile(io.BytesIO(answer.content)) as book:
            return " ".join(book.read(name).decode("utf-8", "replace") for name in book.namelist())
    return str(answer.content.decode("utf-8", "replace"))


@pytest.mark.parametrize("more", [(), (Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)])
def test_no_address_tells_the_second_assessor_anything_of_the_first_mark(
    world: World,
    second: Person,
    signed_in: Callable[[Person], Client],
    more: tuple[Role, ...],
) -> None:
    for role in more:
        MembershipFactory(academy=world.academy, person=second, role=role)
    browser, told = signed_in(second), []
    for row in INSIDE:
        address = row.address(world.academy.slug, world)
        for search in ("", "?q=Tamsin", "?only=second"):
            if search and (row.post or row.query or row.about):
                continue
            text = read(browser, row, address + search)
            told += [
                f"{row.name}{search}: {what}" for what, words in WORDS.items() if words in text
            ]
            if FIRST in text and row.name not in LISTS_PEOPLE:
                told.append(f"{row.name}{search}: the name")
            if world.tokens["appeal"] in text and "appeal" not in row.about.values():
                told.append(f"{row.name}{search}: the appeal")
    assert told == []


@pytest.mark.parametrize("role", [Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER])
def test_nor_does_the_first_page_of_any_other_role_they_hold(
    world: World, second: Person, signed_in: Callable[[Person], Client], role: Role
) -> None:
    at = f"/{world.academy.slug}/"
    appealed = signed_in(world.verifier).get(at).content.decode()
    assert world.tokens["appeal"] in appealed
    assert WORDS["state of the appeal"] in appealed
    if role is not Role.ASSESSOR:
        MembershipFactory(academy=world.academy, person=second, role=role)
    browser = signed_in(second)
    session = browser.session
    session[session_key(world.academy)] = role.value
    session.save()
    page = browser.get(at).content.decode()
    assert [what for what, words in WORDS.items() if words in page] == []
    assert FIRST not in page
    assert world.tokens["appeal"] not in page


def test_the_record_does_not_tell_it_even_when_asked_for_the_first_assessor(
    world: World, first: Assessment, second: Person, signed_in: Callable[[Person], Client]
) -> None:
    MembershipFactory(academy=world.academy, person=second, role=Role.VERIFIER)
    address = f"/{world.academy.slug}/record/?person={first.assessor.token}"
    page = signed_in(second).get(address).content.decode()
    assert "submitted the assessment" not in page
    assert "by the marks" not in page


def test_once_submitted_the_second_assessor_compares_both(
    world: World, first: Assessment, second: Person, signed_in: Callable[[Person], Client]
) -> None:
    draft = Assessment.objects.for_scoring().get(token=world.tokens["head"])
    address = f"/{world.academy.slug}/assessment/pairs/{first.token}/"
    browser = signed_in(second)
    assert browser.get(address).status_code == 404
    submitting.submit(assessment=draft, by=second, points=[WHOLE])
    page = browser.get(address).content.decode()
    assert FIRST in page
    assert WORDS["fault note"] in page
    sheet = f"/{world.academy.slug}/assessment/results/{first.token}/"
    assert WORDS["note"] in browser.get(sheet).content.decode()


def test_the_apprentice_is_told_neither_by_whom_nor_what(
    world: World, second: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser, told = signed_in(world.apprentice), []
    for row in INSIDE:
        text = read(browser, row, row.address(world.academy.slug, world))
        if second.name in text:
            told.append(row.name)
    assert told == []
