"""Standardisation: reference heads are published, marked and compared; feedback is rated."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.forms.standardising import AgreedForm
from academy.assessment.models import Assessment, FeedbackRating, ReferenceHead
from academy.assessment.queries import place_of
from academy.assessment.score_head import place_of as assessed_place
from academy.assessment.services.standardising import (
    keep_reference,
    places_of,
    publish_reference,
    rate_feedback,
    start_reference,
    write_reference,
)
from academy.assessment.services.submitting import submit
from academy.assessment.standardising import feedback_means, over_assessors, submitted_markings
from academy.audit.errors import AuditError
from academy.craft.head.sheet import Place, zone_centre
from academy.craft.head.zones import Zone
from academy.people.models import Academy, Role
from tests.site.factories import MembershipFactory
from tests.site.making import full_boxes, judged_head, mark_all

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]
SHOWN = "bare root along the hairline"


def reference_of(version: ModuleVersion, educator: Person, name: str = "Thin") -> ReferenceHead:
    row = write_reference(academy=version.academy, by=educator, version=version, name=name)
    levels = {(one.code, zone): (3, SHOWN) for one, zone in places_of(version)}
    keep_reference(reference=row, by=educator, levels=levels, faults=[])
    return publish_reference(reference=row, by=educator)


def mark(reference: ReferenceHead, assessor: Person, level: int) -> Assessment:
    draft = start_reference(reference=reference, assessor=assessor)
    mark_all(draft, level=level, overall=3)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    draft.refresh_from_db()
    return draft


@pytest.fixture
def reference(version: ModuleVersion, educator: Person) -> ReferenceHead:
    return reference_of(version, educator)


def test_an_educator_writes_and_publishes_a_reference_head_with_levels_reasons_and_faults(
    version: ModuleVersion, educator: Person, signed_in: SignedIn, url: Url
) -> None:
    desk = signed_in(educator)
    begun = desk.post(
        url("reference-new"), {"module": version.module.token, "name": "Thin", "about": ""}
    )
    at = begun["Location"]
    data = {"level-A1-": "4", "reason-A1-": "gloves changed", "level-A2-crown": "3"}
    page = desk.post(at, {**data, "publish": "1"}).content.decode()
    assert "Say what shows this level" in page
    data["reason-A2-crown"] = SHOWN
    page = desk.post(at, {**data, "publish": "1"}).content.decode()
    assert "Still without an agreed level: A2 nape" in page
    data |= {"level-A2-nape": "1", "reason-A2-nape": SHOWN}
    data |= {"fault-1": "bleed", "zone-1": "nape"}
    desk.post(at, {**data, "publish": "1"})
    row = ReferenceHead.objects.get()
    assert row.published_at is not None
    assert row.levels.get(zone="nape").level == 1
    assert row.faults.get().zone == "nape"


def test_a_fault_of_a_reference_head_lies_where_it_was_tapped_or_in_the_middle_of_its_zone(
    version: ModuleVersion, educator: Person, signed_in: SignedIn, url: Url
) -> None:
    row = write_reference(academy=version.academy, by=educator, version=version, name="Thin")
    desk, at = signed_in(educator), url("reference-edit", token=row.token)
    tapped = {"fault-1": "bleed", "zone-1": "crown", "place-1": "135.5 40.25"}
    desk.post(at, {**tapped, "fault-2": "gap", "zone-2": "nape"})
    first, second = row.faults.all()
    assert (first.azimuth_deg, first.elevation_deg) == (Decimal("135.5"), Decimal("40.25"))
    # The place decides, whatever the list says.
    assert first.zone == Place.at(135.5, 40.25).zone != "nape"
    assert assessed_place(second) == zone_centre(Zone.NAPE)
    page = desk.get(at).content.decode()
    assert 'value="135.5 40.25"' in page
    assert page.count('class="hd-target"') == 5
    # What comes back is what was kept.
    form = AgreedForm(reference=row)
    assert form["place-2"].value() == ""


@pytest.mark.parametrize(
    ("place", "sentence"),
    [
        ("", "Tap the place, or choose the zone it lies in."),
        ("crown", "Give degrees round and up"),
        ("135 95", "Give degrees round and up"),
        ("0 -80", "That is beside the hair"),
    ],
)
def test_a_place_that_cannot_be_is_refused_with_a_sentence(
    version: ModuleVersion,
    educator: Person,
    signed_in: SignedIn,
    url: Url,
    place: str,
    sentence: str,
) -> None:
    row = write_reference(academy=version.academy, by=educator, version=version, name="Thin")
    at = url("reference-edit", token=row.token)
    page = signed_in(educator).post(at, {"fault-1": "gap", "place-1": place}).content.decode()
    assert sentence in page
    assert not row.faults.exists()


@pytest.mark.parametrize(
    ("wrong", "name"),
    [
        ({"zone": "moon"}, "zone_known"),
        ({"azimuth_deg": Decimal(181)}, "on_the_head"),
        ({"elevation_deg": Decimal(-91)}, "on_the_head"),
    ],
)
def test_the_database_knows_where_a_fault_of_a_reference_head_can_lie(
    version: ModuleVersion, educator: Person, wrong: dict[str, Any], name: str
) -> None:
    row = write_reference(academy=version.academy, by=educator, version=version, name="Thin")
    where = {"azimuth_deg": Decimal(180), "elevation_deg": Decimal(40), "zone": "crown"}
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        row.faults.create(number=1, common="gap", **(where | wrong))


def test_a_published_reference_head_stands(reference: ReferenceHead, educator: Person) -> None:
    with pytest.raises(AssessmentError, match="published and stands"):
        keep_reference(reference=reference, by=educator, levels={}, faults=[])
    reference.name = "Another"
    with pytest.raises(AuditError):
        reference.save()
    with pytest.raises(DatabaseError), connection.cursor() as cursor:
        cursor.execute("UPDATE assessment_referencelevel SET level = 0")


def test_only_educators_publish_and_only_assessors_mark(
    version: ModuleVersion,
    reference: ReferenceHead,
    assessor: Person,
    educator: Person,
    academy: Academy,
) -> None:
    with pytest.raises(AssessmentError, match="Only an educator"):
        write_reference(academy=academy, by=assessor, version=version, name="Mine")
    with pytest.raises(AssessmentError, match="Only an assessor"):
        start_reference(reference=reference, assessor=educator)
    MembershipFactory(academy=academy, person=educator, role=Role.ASSESSOR)
    with pytest.raises(AssessmentError, match="You wrote"):
        start_reference(reference=reference, assessor=educator)


def test_an_assessor_marks_it_on_the_scoring_page_and_sees_the_agreed_levels_only_afterwards(
    reference: ReferenceHead, assessor: Person, chair: Client, url: Url
) -> None:
    at = url("reference-detail", token=reference.token)
    assert SHOWN not in chair.get(at).content.decode()
    begun = chair.post(url("reference-start", token=reference.token))
    draft = Assessment.objects.get(kind="standardisation")
    assert begun["Location"] == url("assessment-score", token=draft.token)
    assert chair.get(begun["Location"]).status_code == 200
    assert SHOWN not in chair.get(at).content.decode()
    mark_all(draft, level=2, overall=3)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    # After submitting the page leads to the comparison.
    shown = chair.get(url("result-detail", token=draft.token), follow=True).content.decode()
    assert "3 of 3 places differ from what was agreed" in shown
    assert "1 harder" in shown
    assert SHOWN in shown


def test_a_reference_head_asks_for_no_second_mark_and_is_evidence_for_nobody(
    version: ModuleVersion,
    reference: ReferenceHead,
    assessor: Person,
    educator: Person,
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    head = mark(reference, assessor, level=3)
    assert not head.outcome.second_needed
    assert place_of(version.academy, educator, version).evidence.heads == []
    assert not Assessment.objects.counting().filter(pk=head.pk).exists()
    page = signed_in(verifier).get(url("assessment-list")).content.decode()
    assert head.token not in page
    assert signed_in(verifier).get(url("result-detail", token=head.token)).status_code == 404


def test_a_table_over_assessors_counts_places_and_says_too_few(
    version: ModuleVersion,
    educator: Person,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    """Five heads are what the academy's rules ask for before anything is said."""
    for number in range(5):
        reference = reference_of(version, educator, name=f"Head {number}")
        mark(reference, assessor, level=2)
        if number == 0:
            mark(reference, colleague, level=3)
    rows = over_assessors(version.academy, submitted_markings(version.academy))
    dilys, joren = rows
    assert (dilys.name, dilys.heads, dilys.same, dilys.one, dilys.more) == (
        "Dilys Okafor-Reed",
        5,
        0,
        15,
        0,
    )
    assert dilys.words == "1.0 levels harder"
    assert (joren.heads, joren.same, joren.words) == (1, 3, "Too few to say")
    for person in (verifier, educator):
        page = signed_in(person).get(url("reference-list")).content.decode()
        assert "1.0 levels harder" in page
        assert "Too few to say" in page
    page = signed_in(assessor).get(url("reference-list")).content.decode()
    assert "Over assessors" not in page


def test_an_educator_rates_feedback_without_names_and_a_low_mean_is_shown_to_the_verifier(
    version: ModuleVersion,
    assessor: Person,
    educator: Person,
    verifier: Person,
    make_member: Callable[..., Person],
    signed_in: SignedIn,
    url: Url,
) -> None:
    for _ in range(10):
        judged_head(version, assessor, make_member(Role.APPRENTICE))
    desk = signed_in(educator)
    for number in range(10):
        page = desk.get(url("feedback-rate")).content.decode()
        assert f"{10 - number} not rated by you yet" in page
        assert "Dilys" not in page
        text = page.split('name="text" value="')[1].split('"')[0]
        before = feedback_means(version.academy)
        assert not any(row.low for row in before)
        desk.post(url("feedback-rate"), {"text": text, "rating": "2"})
    (row,) = feedback_means(version.academy)
    assert (row.name, row.texts, row.mean, row.low) == ("Dilys Okafor-Reed", 10, 2.0, True)
    page = signed_in(verifier).get(url("reference-list")).content.decode()
    assert '<b class="marked">low</b>' in page


def test_a_text_is_rated_once_by_each_educator_and_never_by_its_writer(
    version: ModuleVersion,
    assessor: Person,
    educator: Person,
    apprentice: Person,
    academy: Academy,
) -> None:
    text = judged_head(version, assessor, apprentice).feedback.get()
    assert rate_feedback(feedback=text, by=educator, rating=3) == rate_feedback(
        feedback=text, by=educator, rating=0
    )
    assert FeedbackRating.objects.get().rating == 3
    MembershipFactory(academy=academy, person=assessor, role=Role.EDUCATOR)
    with pytest.raises(AssessmentError, match="text of their own"):
        rate_feedback(feedback=text, by=assessor, rating=4)
    with pytest.raises(AssessmentError, match="Only an educator"):
        rate_feedback(feedback=text, by=apprentice, rating=4)
