"""Heads enough, sign-off open: what an apprentice's pages say where feedback is thin."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse

from academy.assessment.queries import place_of
from academy.assessment.results import Standing
from tests.site.making import publish, thin_head

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person


@pytest.fixture
def version(academy: Academy, educator: Person) -> ModuleVersion:
    return publish(academy, educator, "apron")


def test_thin_feedback_on_enough_heads_is_named_and_no_assessment_is_asked_for(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    thin_head(version, assessor, apprentice)
    assert place_of(academy, apprentice, version).standing is Standing.HEADS_DONE
    reader, slug = signed_in(apprentice), academy.slug
    own = {"academy": slug, "person": apprentice.token}
    module = {"module": version.module.token}
    first = reader.get(f"/{slug}/").content.decode()
    progress = reader.get(
        reverse("reports:progress", kwargs={"academy": slug, "token": apprentice.token})
    )
    for page in (first, progress.content.decode()):
        assert "heads done, sign-off still waits" in page
        assert "The sign-off waits. Feedback has fewer than three of four boxes" in page
        assert "Ask for an assessment" not in page
    standing = reader.get(reverse("reports:standing", kwargs={**own, **module})).content.decode()
    assert "Feedback has fewer than three of four boxes" in standing
    assert "Ask for an assessment" not in standing
    asked = reader.get(reverse("assessment:booking-list", kwargs={"academy": slug}))
    assert (
        reverse("assessment:booking-ask", kwargs={"academy": slug, "token": version.module.token})
        not in asked.content.decode()
    )
