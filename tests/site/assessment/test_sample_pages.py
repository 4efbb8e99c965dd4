"""Trade rule 5.4: samples as pages, with the promise, the draw, and what an overturned one adds."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.models import AddedDecision, SamplePlan
from academy.assessment.services.signing import verify
from academy.assessment.views.samples import throw_seed
from tests.site.making import sixty_decisions

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import SignOff
    from academy.people.models import Academy, Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]


@pytest.fixture(autouse=True)
def _thrown(monkeypatch: pytest.MonkeyPatch) -> None:
    """A draw in which one cohort is missing at first."""
    monkeypatch.setattr("academy.assessment.views.samples.throw_seed", lambda: 4711)


@pytest.fixture
def sixty(academy: Academy, educator: Person, verifier: Person) -> list[SignOff]:
    return sixty_decisions(academy, educator, verifier)


def data(**changes: str) -> dict[str, str]:
    today = timezone.localdate()
    return {
        "name": "This quarter",
        "first_day": (today - timedelta(days=90)).isoformat(),
        "last_day": today.isoformat(),
        "cohort": "",
        "confidence": "95",
        "rate": "10",
        **changes,
    }


def test_journey_15_23_of_60_are_drawn_everybody_appears_and_overturning_adds_the_rest(
    academy: Academy,
    sixty: list[SignOff],
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    desk = signed_in(verifier)
    page = desk.post(url("sample-new"), data(), follow=True).content.decode()
    plan = SamplePlan.objects.get(name="This quarter")
    assert plan.decisions.count() == 60
    assert plan.decisions.filter(why="random").count() == 23
    assert "If 23 of 60 drawn at random are all right, one can be 95 % sure" in page
    assert "23: drawn at random" in page
    assert "1: added so that everybody appears" in page
    assert "4711" in page
    drawn = [row.sign_off for row in plan.decisions.exclude(why="")]
    assert len({row.assessor_id for row in drawn}) == 2
    assert len({row.module_version_id for row in drawn}) == 2
    assert len({row.apprentice.cohort_places.get().cohort_id for row in drawn}) == 3
    wrong = plan.decisions.filter(why="random").order_by("pk")[0].sign_off
    rest = plan.decisions.filter(why="", sign_off__assessor=wrong.assessor)
    count = rest.count()
    assert count > 0
    at = url("verification-new", token=wrong.token)
    foretold = desk.post(at, {"result": "overturned", "text": "another's"}).content.decode()
    assert f"{count} further decisions of {wrong.assessor} in “This quarter”" in foretold
    assert not AddedDecision.objects.exists()
    desk.post(at, {"result": "overturned", "text": "another's", "confirm": "1"})
    assert AddedDecision.objects.count() == count
    page = desk.get(url("sample-detail", token=plan.token)).content.decode()
    assert f"1 of {24 + count} looked at" in page
    assert f"{count}: added: another of this assessor" in page
    queue = desk.get(url("verification-list")).content.decode()
    assert "added: another of this assessor" in queue


def test_nobody_chooses_the_seed_of_a_batch(
    sixty: list[SignOff], verifier: Person, signed_in: SignedIn, url: Url
) -> None:
    desk = signed_in(verifier)
    assert 'name="seed"' not in desk.get(url("sample-new")).content.decode()
    page = desk.post(url("sample-new"), data(seed="8")).headers["Location"]
    assert SamplePlan.objects.get(name="This quarter").seed == 4711
    assert "<dd>4711</dd>" in desk.get(page).content.decode()


def test_a_seed_is_thrown_anew_for_each_batch() -> None:
    assert len({throw_seed() for _ in range(20)}) > 1


def test_a_batch_says_what_stands_open_and_closes_once_nothing_does(
    sixty: list[SignOff], verifier: Person, signed_in: SignedIn, url: Url
) -> None:
    desk = signed_in(verifier)
    desk.post(url("sample-new"), data(rate="40", confidence="80"))
    plan = SamplePlan.objects.get(name="This quarter")
    close = url("sample-close", token=plan.token)
    refused = desk.post(close, follow=True).content.decode()
    assert "still to be looked at" in refused
    for row in plan.decisions.exclude(why=""):
        verify(sign_off=row.sign_off, verifier=verifier, result="upheld")
    assert "Closed. Every sign-off" in desk.post(close, follow=True).content.decode()


def test_a_sample_as_a_table_has_a_line_for_each_decision_and_why(
    sixty: list[SignOff], verifier: Person, signed_in: SignedIn, url: Url
) -> None:
    desk = signed_in(verifier)
    desk.post(url("sample-new"), data())
    plan = SamplePlan.objects.get(name="This quarter")
    answer = desk.get(url("sample-csv", token=plan.token))
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][4:] == ["why looked at", "result"]
    assert len(rows) == 61
    assert sum(row[4] == "drawn at random" for row in rows) == 23
    assert {row[5] for row in rows[1:]} == {"to be looked at", "not drawn"}


def test_days_without_a_signoff_are_refused_and_nothing_typed_is_lost(
    verifier: Person, signed_in: SignedIn, url: Url
) -> None:
    page = signed_in(verifier).post(url("sample-new"), data()).content.decode()
    assert "lies outside a batch" in page
    assert 'value="This quarter"' in page


def test_a_manager_reads_samples_and_draws_none(
    sixty: list[SignOff], verifier: Person, manager: Person, signed_in: SignedIn, url: Url
) -> None:
    signed_in(verifier).post(url("sample-new"), data())
    office = signed_in(manager)
    assert "This quarter" in office.get(url("sample-list")).content.decode()
    assert office.get(url("sample-new")).status_code == 403
    plan = SamplePlan.objects.get(name="This quarter")
    assert office.post(url("sample-close", token=plan.token)).status_code == 403
