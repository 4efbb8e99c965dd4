"""Answers that arrive late, twice, or after a newer one from another device."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.exercises import services
from academy.exercises.models import Answer, AnswerSheet
from academy.exercises.services.arriving import Came, Fate, fate

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person

NAME = "q1-stock"
HOUR = 3_600_000


@pytest.fixture
def client(signed_in: Callable[[Person], Client], learner: Person) -> Client:
    return signed_in(learner)


def at(name: str, sheet: AnswerSheet) -> str:
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", "token": sheet.token})


def send(client: Client, sheet: AnswerSheet, text: str, **beside: object) -> dict[str, Any]:
    """`send(client, sheet, "30", was="", age=…)`: what a page is told of the field."""
    fields = {f"{word}-{NAME}": value for word, value in beside.items()}
    answer = client.post(at("sheet-outbox", sheet), {NAME: text, **fields})
    assert answer.status_code == 200
    line: dict[str, Any] = answer.json()["lines"][NAME]
    return line


def test_the_same_text_sent_twice_changes_nothing(client: Client, sheet: AnswerSheet) -> None:
    send(client, sheet, "30", was="", age=5000)
    first = sheet.answers.get()
    line = send(client, sheet, "30", was="", age=9000)
    assert (line["stands"], line["stale"]) == ("30", False)
    second = sheet.answers.get()
    assert (first.pk, first.kept_at) == (second.pk, second.kept_at)


def test_an_older_text_never_overwrites_a_newer_one_from_elsewhere(
    client: Client, sheet: AnswerSheet
) -> None:
    send(client, sheet, "35", was="", age=0)
    line = send(client, sheet, "30", was="", age=HOUR)
    assert (line["stands"], line["stale"]) == ("35", True)
    assert "From elsewhere: 35 g" in line["note"]
    assert "From here: 30 g" in line["note"]
    assert sheet.answers.get().written == "35"


def test_choosing_the_own_text_keeps_it(client: Client, sheet: AnswerSheet) -> None:
    send(client, sheet, "35", was="", age=0)
    send(client, sheet, "30", was="", age=HOUR)
    line = send(client, sheet, "30", was="35", age=HOUR)
    assert (line["stands"], line["stale"]) == ("30", False)


def test_a_newer_text_takes_the_place_of_an_older_one_that_came_first(
    client: Client, sheet: AnswerSheet
) -> None:
    send(client, sheet, "30", was="", age=HOUR)
    assert not send(client, sheet, "35", was="", age=1000)["stale"]
    assert sheet.answers.get().written == "35"


def test_when_it_was_typed_is_kept_not_when_it_arrived(client: Client, sheet: AnswerSheet) -> None:
    before = timezone.now()
    send(client, sheet, "30", was="", age=HOUR)
    kept_at = sheet.answers.get().kept_at
    assert kept_at is not None
    assert abs(before - timedelta(hours=1) - kept_at) < timedelta(seconds=30)


@pytest.mark.parametrize("age", ["", "-5", "1e9", "soon", "9" * 40, "\N{ARABIC-INDIC DIGIT ONE}"])
def test_an_age_that_is_none_is_passed_over(age: str, client: Client, sheet: AnswerSheet) -> None:
    assert not send(client, sheet, "30", was="", age=age)["stale"]
    kept_at = sheet.answers.get().kept_at
    assert kept_at is not None
    assert timezone.now() - kept_at < timedelta(seconds=30)


def test_what_its_page_did_not_touch_overwrites_nothing(client: Client, sheet: AnswerSheet) -> None:
    """A form without script posts all its fields, also those that were changed elsewhere."""
    send(client, sheet, "30", was="")
    send(client, sheet, "35", was="30")
    posted = {NAME: "30", f"was-{NAME}": "30", "q1-neutral": "50", "was-q1-neutral": "", "to": "1"}
    assert client.post(at("sheet-keep", sheet), posted).status_code == 302
    kept = dict(sheet.answers.values_list("field", "written"))
    assert kept == {"stock": "35", "neutral": "50"}


def test_without_script_both_texts_are_shown_to_choose_from(
    client: Client, sheet: AnswerSheet
) -> None:
    send(client, sheet, "30", was="")
    send(client, sheet, "35", was="30")
    stale = {NAME: "40", f"was-{NAME}": "30", "to": "end"}
    page = client.post(at("sheet-keep", sheet), stale)
    assert page.status_code == 200
    assert "From elsewhere: 35 g" in page.text
    assert f'name="{NAME}" value="40"' in page.text
    assert f'name="was-{NAME}" value="35"' in page.text
    chosen = {NAME: "40", f"was-{NAME}": "35"}
    client.post(at("sheet-keep", sheet), {**chosen, "theirs": NAME})
    assert sheet.answers.get().written == "35"
    client.post(at("sheet-keep", sheet), {**chosen, "mine": NAME})
    assert sheet.answers.get().written == "40"


def test_asking_with_nothing_to_send_is_answered(client: Client, sheet: AnswerSheet) -> None:
    assert client.post(at("sheet-outbox", sheet)).json() == {"lines": {}}


def test_a_sheet_that_takes_nothing_any_more_says_why(
    client: Client, sheet: AnswerSheet, learner: Person
) -> None:
    services.hand_in(sheet=sheet, by=learner)
    answer = client.post(at("sheet-outbox", sheet), {NAME: "30"})
    assert answer.status_code == 409
    assert "Nothing on it changes any more" in answer.json()["refused"]


def test_somebody_elses_outbox_is_not_there(
    sheet: AnswerSheet, signed_in: Callable[[Person], Client], educator: Person
) -> None:
    assert signed_in(educator).post(at("sheet-outbox", sheet), {NAME: "30"}).status_code == 403
    assert not sheet.answers.exists()


@pytest.mark.parametrize(
    ("stands", "text", "was", "older", "becomes"),
    [
        ("30", "30", "", True, Fate.SAME),
        ("30", "35", "30", True, Fate.KEPT),  # typed before, but on top of what stands
        ("30", "35", None, True, Fate.KEPT),  # a page that says nothing of it
        ("30", "35", "20", False, Fate.KEPT),
        ("30", "35", "20", True, Fate.STALE),
        ("30", "20", "20", True, Fate.SAME),  # untouched there
        ("", "35", "20", False, Fate.KEPT),
    ],
)
def test_what_becomes_of_a_text(
    stands: str, text: str, was: str | None, older: bool, becomes: Fate
) -> None:
    now = timezone.now()
    row = Answer(written=stands, kept_at=now)
    typed_at = now + timedelta(minutes=-1 if older else 1)
    assert fate(row, text, Came(was, typed_at)) is becomes
