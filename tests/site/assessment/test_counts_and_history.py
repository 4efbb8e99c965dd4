"""What is counted for whom, and what a ruling's history tells."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from academy.assessment.services.ruling import rule
from academy.assessment.services.second import assign_second_mark
from academy.people.models import Role
from tests.site.making import judged_head, second_mark, signed_off

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import SignOff
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]


def test_a_verifiers_heading_counts_no_decision_that_only_another_verifier_can_look_at(
    version: ModuleVersion,
    sign_off: SignOff,
    assessor: Person,
    colleague: Person,
    manager: Person,
    also: Callable[..., None],
    make_member: Callable[..., Person],
    signed_in: SignedIn,
    url: Url,
) -> None:
    signed_off(version, colleague, make_member(Role.APPRENTICE))
    also(assessor, Role.VERIFIER)
    own = signed_in(assessor).get(url("verification-list")).content.decode()
    assert "<h1>1 decision must be looked at</h1>" in own
    assert "1 more for another verifier." in own
    assert str(sign_off.apprentice) in own
    office = signed_in(manager).get(url("verification-list")).content.decode()
    assert "<h1>2 decisions must be looked at</h1>" in office
    assert "for another verifier." not in office


def test_the_history_on_a_ruling_tells_when_each_mark_was_given(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    apprentice: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    first = judged_head(version, assessor, apprentice, level=1, overall=1, drawn=True)
    second = second_mark(first, colleague, level=4, overall=4)
    rule(first=first, second=second, verifier=verifier, decision="first", reason="The photo.")
    page = signed_in(verifier).get(url("ruling-detail", token=first.token)).content.decode()
    for who in ("Dilys Okafor-Reed submitted", "Joren Pask began a second mark"):
        assert who in page
    assert "Joren Pask submitted" in page
    kept = signed_in(apprentice).get(url("ruling-detail", token=first.token))
    assert kept.status_code in (403, 404)


def test_what_the_heading_of_an_assessors_first_page_counts_is_not_said_twice(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    educator: Person,
    apprentice: Person,
    signed_in: SignedIn,
) -> None:
    head = judged_head(version, assessor, apprentice, drawn=True)
    free = signed_in(colleague).get(f"/{version.academy.slug}/").content.decode()
    assert "1 second mark that nobody has yet: you may take one." in free
    assign_second_mark(first=head, assessor=colleague, by=educator)
    page = signed_in(colleague).get(f"/{version.academy.slug}/").content.decode()
    assert "<h1>One second mark to give</h1>" in page
    assert page.count("second mark to give") == 1
    assert "nobody has yet" not in page
