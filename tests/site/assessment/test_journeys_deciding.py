"""Journeys 9 and 13 of the trade page, and what no page shows before it is its turn."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from academy.assessment.models import Assessment, SignOff
from academy.assessment.services import scoring
from academy.assessment.services.submitting import submit
from tests.site.factories import PASSWORD, CohortFactory, CohortPlaceFactory
from tests.site.making import (
    draft_head,
    full_boxes,
    judged_head,
    mark_all,
    publish,
    thin_head,
)

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

TICKED = {"valid": "on", "sufficient": "on", "authentic": "on", "current": "on"}


def typed(**more: object) -> dict[str, object]:
    boxes = full_boxes().as_json()
    return {**{name: "" if value is None else value for name, value in boxes.items()}, **more}


def words_of(page: str) -> str:
    """What is read on a page, without its drawings and tags."""
    return re.sub(r"<[^>]*>", " ", re.sub(r"<svg.*?</svg>", " ", page, flags=re.DOTALL))


def test_journey_9_a_missing_zone(
    draft: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    """Leave nape unmarked; submit: refused, naming zone and criterion; mark it: accepted."""
    level, at = (
        url("assessment-level", token=draft.token),
        url("assessment-feedback", token=draft.token),
    )
    chair.post(level, {"level-A1-": "3"})
    chair.post(level, {"level-A2-crown": "3"})
    chair.post(url("assessment-overall", token=draft.token), {"overall": "4"})
    page = chair.post(at, typed(submit="1")).content.decode()
    assert "coverage" in page
    assert "nape" in page
    draft.refresh_from_db()
    assert draft.state == "draft"
    assert "laid out within reach" in page
    chair.post(level, {"level-A2-nape": "3"})
    answer = chair.post(at, typed(submit="1"))
    assert answer["Location"] == url("result-detail", token=draft.token)
    draft.refresh_from_db()
    assert draft.state == "submitted"


def test_journey_13_sign_off_with_a_box_filled_in_later(
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    """Four ticks; feedback 2 of 4: refused, empty boxes named; filled in; password: signed."""
    version = publish(academy, educator, "white", heads=2)
    CohortPlaceFactory(cohort=CohortFactory(academy=academy), person=apprentice)
    judged_head(version, assessor, apprentice)
    with time_machine.travel(timezone.now() + timedelta(days=1)):
        chair = signed_in(assessor)
        thin = thin_head(version, assessor, apprentice)
        at = url("signoff-new", person=apprentice.token, module=version.module.token)
        listed = chair.get(url("signoff-list")).content.decode()
        assert "Enough heads, something open" in listed
        assert "2 of 4; empty: Why, Next" in listed
        assert at in listed
        page = chair.post(at, {**TICKED, "password": PASSWORD}).content.decode()
        assert "2 of 4; empty: Why, Next" in page
        assert not SignOff.objects.exists()
        correct = url("feedback-correct", token=thin.token)
        assert correct in page
        chair.post(correct, typed(against_level="4", reason="the why was missing"))
        assert "Everything needed is there" in chair.get(at).content.decode()
        listed = chair.get(url("signoff-list")).content.decode()
        assert "Enough heads, something open" not in listed
        assert at in listed
        chair.post(at, {**TICKED, "password": PASSWORD})
        row = SignOff.objects.get()
        assert row.assessments.count() == 2
        phone = signed_in(apprentice)
        today = phone.get(reverse("reports:today", kwargs={"academy": academy.slug}))
        assert today.content.decode().count("A result to read") == 2
        # Two of one module are told apart by their days.
        assert len(set(re.findall(r"Of (\d+ \w+)\. Read it", today.content.decode()))) == 2
        for head in row.assessments.all():
            phone.post(url("result-detail", token=head.token), {})
        assert {head.acknowledgement.apprentice for head in row.assessments.all()} == {apprentice}
        signed = phone.get(url("signoff-detail", token=row.token)).content.decode()
        assert "I have read this" not in signed


def test_the_overall_rating_comes_before_the_tool_shows_any_sum(
    draft: Assessment, chair: Client, url: Callable[..., str], academy: Academy
) -> None:
    mark_all(draft, level=3, overall=4)
    Assessment.objects.filter(pk=draft.pk).update(overall=None)
    pages = [
        url("assessment-score", token=draft.token),
        url("assessment-feedback", token=draft.token),
        url("assessment-list"),
        reverse("reports:today", kwargs={"academy": academy.slug}),
    ]
    for at in pages:
        page = words_of(chair.get(at).content.decode())
        assert re.search(r"\b75\b", page) is None, at
        assert "head mark" not in page.lower(), at
    refused = chair.post(pages[1], typed(submit="1")).content.decode()
    assert "overall rating" in refused.lower()
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_every_reason_is_listed_in_the_order_of_the_rules(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    """Must-pass, weak zone, head mark, pass line, the rating against it, pace."""
    draft = draft_head(version, assessor, apprentice)
    criteria = {row.code: row for row in version.criteria.all()}
    for code, zone, level in (("A1", "", 2), ("A2", "crown", 3), ("A2", "nape", 1)):
        scoring.set_level(
            assessment=draft, by=assessor, criterion=criteria[code], zone=zone, level=level
        )
    scoring.set_overall(assessment=draft, by=assessor, rating=4)
    scoring.set_notes(assessment=draft, by=assessor, minutes_used=90, note="")
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    reasons = [row["sentence"] for row in draft.outcome.reasons]
    page = chair.get(url("result-detail", token=draft.token)).content.decode()
    places = [page.index(f"<li>{sentence}</li>") for sentence in reasons]
    assert places == sorted(places)
    found = [
        next(i for i, said in enumerate(reasons) if word in said)
        for word in ("gloves on", "nape", "The head mark is", "pass line of", "Pace")
    ]
    assert found == sorted(found)


@pytest.mark.parametrize("level", [1, 3])
def test_a_head_without_a_rating_has_no_outcome_whatever_its_levels(
    draft: Assessment, chair: Client, url: Callable[..., str], level: int
) -> None:
    mark_all(draft, level=level, overall=4)
    Assessment.objects.filter(pk=draft.pk).update(overall=None)
    chair.post(url("assessment-feedback", token=draft.token) + "?sure=1", typed(submit="1"))
    assert not hasattr(Assessment.objects.get(pk=draft.pk), "outcome")
