"""Trade rule 5.2: two marks of one head, agreement, disagreement and the verifier's ruling."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Ruling
from academy.assessment.pairs import Pair, pairs_of
from academy.assessment.queries import place_of
from academy.assessment.results import Result
from academy.assessment.services.faults import place_fault
from academy.assessment.services.ruling import rule
from academy.assessment.services.scoring import set_level
from academy.assessment.services.second import start_second_mark
from academy.assessment.services.submitting import submit
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.people.models import Academy, Role
from academy.web.paging import page_of
from tests.site.assessment.places import at_place
from tests.site.factories import MembershipFactory
from tests.site.making import full_boxes, judged_head, mark_all, second_mark

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]
WHY = "The photo of the nape shows bare root."


@pytest.fixture
def first(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    return judged_head(version, assessor, apprentice, overall=5, drawn=True)


@pytest.fixture
def look(first: Assessment, colleague: Person) -> Callable[..., Assessment]:
    """`look(level=…, must=…)`: the colleague's submitted second mark."""

    def mark(level: int, must: int | None = None) -> Assessment:
        if must is None:
            return second_mark(first, colleague, level=level)
        head = start_second_mark(first=first, assessor=colleague)
        mark_all(head, level=level, overall=3)
        criterion = head.module_version.criteria.get(code="A1")
        set_level(assessment=head, by=colleague, criterion=criterion, zone="", level=must)
        submit(assessment=head, by=colleague, points=[full_boxes()])
        return head

    return mark


def pair() -> Pair:
    return Pair(pairs_of(Academy.objects.get(slug="larkmere")).get())


def sheet(person: Person, first: Assessment, signed_in: SignedIn, url: Url) -> str:
    return signed_in(person).get(url("result-detail", token=first.token)).content.decode()


def test_the_same_stands_with_the_reasons_of_both_and_the_mean_head_mark(
    first: Assessment,
    look: Callable[..., Assessment],
    apprentice: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    look(level=3)
    assert pair().agree
    assert pair().mean == Decimal("87.5")
    page = sheet(apprentice, first, signed_in, url)
    assert "Competent" in page
    assert '<dd class="big">87.5' in page
    assert "The head mark is 100" in page
    assert "The other mark of this head: The head mark is 75" in page
    assert "Joren Pask" not in page


def test_only_the_two_outcomes_are_compared_and_the_second_asks_for_no_third(
    look: Callable[..., Assessment],
) -> None:
    """All at 3 rated borderline; alone a rating of 2 would have asked for another look."""
    second = look(level=3)
    assert not second.outcome.second_needed


def test_different_marks_have_no_outcome_until_the_ruling(
    first: Assessment, look: Callable[..., Assessment]
) -> None:
    look(level=1)
    place = place_of(first.academy, first.apprentice, first.module_version)
    assert [head.result for head in place.evidence.heads] == [Result.RULING]
    assert pair().waits
    assert pair().mean is None


def test_a_must_pass_failed_by_one_of_the_two_is_never_averaged_away(
    first: Assessment,
    look: Callable[..., Assessment],
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    """The second's head mark is 91.7 and the mean 95.8; gloves at 2 decide all the same."""
    second = look(level=4, must=2)
    assert second.outcome.head_mark is not None
    assert second.outcome.head_mark > 75
    assert pair().waits
    assert pair().mean is None
    page = signed_in(verifier).get(url("pair-detail", token=first.token)).content.decode()
    assert "never averaged away" in page


def test_both_stand_side_by_side_with_the_differences_and_the_faults_of_both(
    first: Assessment,
    look: Callable[..., Assessment],
    make_member: Callable[..., Person],
    signed_in: SignedIn,
    url: Url,
) -> None:
    look(level=1)
    at = url("pair-detail", token=first.token)
    for role in (Role.VERIFIER, Role.EDUCATOR, Role.MANAGER):
        page = signed_in(make_member(role)).get(at).content.decode()
        assert "3 levels apart" in page
        assert "3 places differ" in page
        assert "Joren Pask" in page


def test_the_faults_of_both_show_on_one_head_with_two_signs(
    first: Assessment,
    colleague: Person,
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    """Round for the first mark, square for the second."""
    second = start_second_mark(first=first, assessor=colleague)
    mark_all(second, level=1, overall=1)
    place_fault(assessment=second, by=colleague, common="gap", **at_place(zone_centre(Zone.NAPE)))
    submit(assessment=second, by=colleague, points=[full_boxes()])
    page = signed_in(verifier).get(url("pair-detail", token=first.token)).content.decode()
    assert '<rect class="at"' in page
    assert '<circle class="at"' not in page
    assert "second mark</title>" in page


def test_both_assessors_compare_once_both_are_in_and_no_other_assessor(
    first: Assessment,
    look: Callable[..., Assessment],
    make_member: Callable[..., Person],
    signed_in: SignedIn,
    url: Url,
) -> None:
    at = url("pair-detail", token=first.token)
    assert signed_in(first.assessor).get(at).status_code == 404
    second = look(level=1)
    for person in (first.assessor, second.assessor):
        assert signed_in(person).get(at).status_code == 200
        assert at in signed_in(person).get(url("pair-list")).content.decode()
    other = signed_in(make_member(Role.ASSESSOR))
    assert other.get(at).status_code == 403
    assert at not in other.get(url("pair-list")).content.decode()


def test_journey_12_one_more_head(
    first: Assessment,
    look: Callable[..., Assessment],
    verifier: Person,
    apprentice: Person,
    signed_in: SignedIn,
    url: Url,
    entries: Callable[[], list[str]],
) -> None:
    look(level=1)
    entries()
    desk = signed_in(verifier)
    at = url("ruling-new", token=first.token)
    assert at in desk.get(url("pair-detail", token=first.token)).content.decode()
    refused = desk.post(at, {"decision": "one_more", "reason": " "}).content.decode()
    assert "one more head" in refused
    assert not Ruling.objects.exists()
    page = desk.post(at, {"decision": "one_more", "reason": WHY}, follow=True).content.decode()
    assert entries() == ["assessment.ruling.given"]
    assert WHY in page
    assert "ruled on the assessment of Tamsin Orle" in page
    assert Assessment.objects.filter(state="submitted").count() == 2
    theirs = sheet(apprentice, first, signed_in, url)
    assert "<strong>One more head</strong>" in theirs
    assert WHY in theirs
    for name in ("Joren Pask", "Ines Carradine"):
        assert name not in theirs
    assert "Levels given" not in theirs
    place = place_of(first.academy, apprentice, first.module_version)
    assert [head.result for head in place.evidence.heads] == [Result.ONE_MORE]


@pytest.mark.parametrize(
    ("decision", "verdict", "line"),
    [("first", "Competent", "The head mark is 100"), ("second", "Not yet", "The head mark is 25")],
)
def test_after_a_ruling_the_apprentice_reads_the_mark_that_stands_and_why(
    first: Assessment,
    look: Callable[..., Assessment],
    verifier: Person,
    apprentice: Person,
    signed_in: SignedIn,
    url: Url,
    decision: str,
    verdict: str,
    line: str,
) -> None:
    second = look(level=1)
    rule(first=first, second=second, verifier=verifier, decision=decision, reason=WHY)
    page = sheet(apprentice, first, signed_in, url)
    assert f"<strong>{verdict}</strong>" in page
    assert line in page
    assert WHY in page
    assert "Joren Pask" not in page


def test_nobody_rules_on_a_mark_of_their_own(
    academy: Academy,
    first: Assessment,
    look: Callable[..., Assessment],
    colleague: Person,
    apprentice: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    second = look(level=1)
    MembershipFactory(academy=academy, person=colleague, role=Role.VERIFIER)
    with pytest.raises(AssessmentError, match="Nobody rules"):
        rule(first=first, second=second, verifier=colleague, decision="first", reason=WHY)
    browser, at = signed_in(colleague), url("ruling-new", token=first.token)
    assert browser.get(at).status_code == 403
    assert browser.post(at, {"decision": "first", "reason": WHY}).status_code == 403
    for person in (colleague, first.assessor, apprentice):
        with pytest.raises(DatabaseError), transaction.atomic():
            Ruling.objects.create(
                first=first, second=second, verifier=person, decision="first", reason=WHY
            )


def test_a_ruling_is_given_once_and_only_where_the_marks_differ(
    first: Assessment, look: Callable[..., Assessment], verifier: Person
) -> None:
    second = look(level=1)
    rule(first=first, second=second, verifier=verifier, decision="first", reason=WHY)
    with pytest.raises(AssessmentError, match="The ruling stands"):
        rule(first=first, second=second, verifier=verifier, decision="second", reason=WHY)


def test_marks_that_agree_take_no_ruling(
    first: Assessment, look: Callable[..., Assessment], verifier: Person
) -> None:
    with pytest.raises(AssessmentError, match="agree"):
        rule(first=first, second=look(level=3), verifier=verifier, decision="first", reason=WHY)


def test_the_list_has_those_that_wait_first_and_brings_one_page_of_them(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    educator: Person,
    make_member: Callable[..., Person],
    signed_in: SignedIn,
    url: Url,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    waiting, agreed, older = (
        judged_head(version, assessor, make_member(Role.APPRENTICE), drawn=True) for _ in range(3)
    )
    second_mark(older, colleague, level=3)
    second_mark(waiting, colleague, level=1)
    second_mark(agreed, colleague, level=3)
    monkeypatch.setattr("academy.assessment.views.pairs.page_of", partial(page_of, per=1))
    desk = signed_in(educator)
    shown = []
    for page in "123":
        answer = desk.get(url("pair-list"), {"page": page})
        assert "1 head waits for a ruling" in answer.content.decode()
        (one,) = answer.context["pairs"]
        shown.append(one.first)
        assert one.waits is (one.first == waiting)
    assert shown == [waiting, agreed, older]
