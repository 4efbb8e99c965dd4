"""Beginning a head: who may, on whom, in which edition; and throwing a draft away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from django.db import IntegrityError, transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Booking
from academy.assessment.services import scoring
from academy.curriculum.services import (
    publish_version,
    retire_version,
    start_module,
    write_draft,
)
from academy.people.models import Academy, Person, Role
from tests.site.factories import MembershipFactory
from tests.site.making import draft_head, module_content, publish

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion


def test_a_head_begins_with_one_entry(
    version: ModuleVersion,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    data = {"apprentice": apprentice.token, "module": version.module.token}
    answer = chair.post(url("assessment-new"), data)
    draft = Assessment.objects.get()
    assert answer["Location"] == url("assessment-score", token=draft.token)
    assert entries() == ["assessment.assessment.started"]
    chair.post(url("assessment-new"), data)
    assert Assessment.objects.count() == 1
    assert entries() == []


def test_nobody_assesses_themselves(
    academy: Academy, version: ModuleVersion, assessor: Person, signed_in: Callable[..., Client]
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.APPRENTICE)
    with pytest.raises(AssessmentError, match="Nobody assesses themselves"):
        draft_head(version, assessor, assessor)


def test_the_form_offers_no_way_to_assess_oneself(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.APPRENTICE)
    data = {"apprentice": assessor.token, "module": version.module.token}
    page = chair.post(url("assessment-new"), data).content.decode()
    assert "not on the list any more" in page
    assert not Assessment.objects.exists()


def test_the_database_lets_nobody_assess_themselves(
    academy: Academy, version: ModuleVersion, assessor: Person
) -> None:
    with pytest.raises(IntegrityError, match="not_oneself"), transaction.atomic():
        Assessment.objects.create(
            academy=academy, apprentice=assessor, assessor=assessor, module_version=version
        )
    with pytest.raises(IntegrityError, match="not_oneself"), transaction.atomic():
        Booking.objects.create(
            academy=academy, apprentice=assessor, assessor=assessor, module_version=version
        )


def test_a_colleague_at_the_same_head_is_told(
    version: ModuleVersion, draft: Assessment, colleague: Person, apprentice: Person
) -> None:
    with pytest.raises(AssessmentError, match="Dilys Okafor-Reed has been marking this head"):
        draft_head(version, colleague, apprentice)


def test_the_database_holds_one_first_mark_in_the_making(
    academy: Academy,
    version: ModuleVersion,
    draft: Assessment,
    colleague: Person,
    apprentice: Person,
) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Assessment.objects.create(
            academy=academy, apprentice=apprentice, assessor=colleague, module_version=version
        )


def test_two_assessors_at_once_leave_one_draft(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    apprentice: Person,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The colleague has asked whether anybody marks before the first one's row was there."""
    asked: list[bool] = []
    check = scoring._check_nobody_marks

    def too_early(*args: object) -> None:
        if asked:
            check(*args)  # type: ignore[arg-type]
        asked.append(True)

    draft_head(version, assessor, apprentice)
    monkeypatch.setattr(scoring, "_check_nobody_marks", too_early)
    with pytest.raises(AssessmentError, match="has been marking this head"):
        draft_head(version, colleague, apprentice)
    assert Assessment.objects.get().assessor == assessor


@pytest.mark.parametrize("role", [Role.EDUCATOR, Role.VERIFIER, Role.MANAGER, Role.APPRENTICE])
def test_only_an_assessor_marks(
    version: ModuleVersion, apprentice: Person, make_member: Callable[..., Person], role: Role
) -> None:
    with pytest.raises(AssessmentError, match="Only an assessor"):
        draft_head(version, make_member(role), apprentice)


def test_only_an_apprentice_of_the_academy_is_assessed(
    version: ModuleVersion,
    assessor: Person,
    educator: Person,
    other_academy: Academy,
    make_member: Callable[..., Person],
) -> None:
    elsewhere = make_member(Role.APPRENTICE, academy=other_academy)
    for person in (educator, elsewhere):
        with pytest.raises(AssessmentError, match="not an apprentice of your academy"):
            draft_head(version, assessor, person)


def test_tokens_of_another_academy_are_not_on_the_list(
    version: ModuleVersion,
    other_academy: Academy,
    make_member: Callable[..., Person],
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    stranger = make_member(Role.APPRENTICE, academy=other_academy)
    foreign = publish(other_academy, make_member(Role.EDUCATOR, academy=other_academy), "theirs")
    for data in (
        {"apprentice": stranger.token, "module": version.module.token},
        {"apprentice": apprentice.token, "module": foreign.module.token},
    ):
        page = chair.post(url("assessment-new"), data).content.decode()
        assert "not on the list any more" in page
    assert not Assessment.objects.exists()


def test_unmet_needs_are_named(
    academy: Academy, educator: Person, version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    later = start_module(academy=academy, by=educator, key="later", title="Later")
    content = replace(module_content("later"), needs=(version.module.key,))
    write_draft(version=later, content=content, by=educator)
    later = publish_version(version=later, by=educator)
    with pytest.raises(AssessmentError, match=r"First needs a sign-off.*The coverage module"):
        draft_head(later, assessor, apprentice)


def test_a_retired_edition_is_not_begun(
    version: ModuleVersion, educator: Person, assessor: Person, apprentice: Person
) -> None:
    retire_version(version=version, by=educator)
    version.refresh_from_db()
    with pytest.raises(AssessmentError, match="is retired, and Tamsin has not begun it"):
        draft_head(version, assessor, apprentice)


def test_a_draft_is_discarded_with_one_entry(
    draft: Assessment, chair: Client, url: Callable[..., str], entries: Callable[[], list[str]]
) -> None:
    at = url("assessment-discard", token=draft.token)
    assert "Discard this draft?" in chair.get(at).content.decode()
    chair.post(at)
    assert not Assessment.objects.exists()
    assert entries() == ["assessment.assessment.discarded"]


def test_a_submitted_head_is_not_discarded(
    submitted: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    page = chair.post(url("assessment-discard", token=submitted.token), follow=True)
    assert "submitted and stands" in page.content.decode()
    assert Assessment.objects.filter(pk=submitted.pk).exists()
