from __future__ import annotations

import json
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.contrib.auth import get_user_model
from django.db import connection, transaction

from academy.audit.errors import RecordError
from academy.audit.models import Entry
from academy.audit.services import record, salted
from academy.craft.proof.chain import entry_hash, genesis
from academy.people.models import Academy, Person
from academy.web import request_id
from tests.site.entries import recorded

COHORT = ("people.cohort", 4)


def write(number: int = 1, *, academy_id: int = 1, **details: Any) -> Entry:
    with transaction.atomic():
        return recorded(
            academy_id=academy_id,
            actor_id=3,
            action="audit.test.done",
            subject=COHORT,
            details={"number": number, **details},
        )


def test_an_entry_continues_the_one_before_it() -> None:
    first, second = write(1), write(2)
    assert (first.sequence, second.sequence) == (1, 2)
    assert first.previous_hash == genesis(1)
    assert second.previous_hash == first.hash == entry_hash(genesis(1), bytes(first.canonical))


def test_every_academy_has_its_own_chain() -> None:
    write(1, academy_id=1)
    other = write(1, academy_id=2)
    assert (other.sequence, other.previous_hash) == (1, genesis(2))


@time_machine.travel(datetime(2026, 3, 2, 9, 30, 0, 5, tzinfo=UTC), tick=False)
def test_the_proved_bytes_are_the_canonical_form_of_what_happened() -> None:
    entry = write(7, outcome="not_yet", head_mark="64.5", zones=["top", "nape"])
    assert bytes(entry.canonical).decode() == (
        '{"about":null,"academy":1,"action":"audit.test.done","actor":3,'
        '"at":"2026-03-02T09:30:00.000005Z","details":{"head_mark":"64.5","number":7,'
        '"outcome":"not_yet","zones":["top","nape"]},"request":"","sequence":1,'
        '"subject":["people.cohort",4]}'
    )


def test_the_details_are_read_from_the_proved_bytes() -> None:
    write(7, outcome="not_yet")
    assert Entry.objects.get().details == {"number": 7, "outcome": "not_yet"}


def test_the_entry_carries_the_id_of_its_request() -> None:
    before = request_id._current.set("5f0c")
    entry = write()
    request_id._current.reset(before)
    assert entry.request_id == "5f0c"
    assert json.loads(bytes(entry.canonical))["request"] == "5f0c"


def test_a_row_can_be_the_subject(academy: Academy) -> None:
    with transaction.atomic():
        entry = recorded(
            academy_id=academy.pk,
            actor_id=None,
            action="audit.test.done",
            subject=academy,
            details={"number": 1},
        )
    assert (entry.subject_type, entry.subject_id) == ("people.academy", academy.pk)


def test_a_row_that_is_not_saved_cannot_be_the_subject() -> None:
    with pytest.raises(RecordError, match="must be saved before"), transaction.atomic():
        record(
            academy_id=1,
            actor_id=None,
            action="audit.test.done",
            subject=Academy(),
            details={"number": 1},
        )


def test_the_person_concerned_is_found_in_the_details_or_the_subject(apprentice: Person) -> None:
    assert write(apprentice=12).about_id == 12
    assert write(person=13).about_id == 13
    assert write().about_id is None
    with transaction.atomic():
        entry = recorded(
            academy_id=1,
            actor_id=None,
            action="audit.test.done",
            subject=get_user_model()(pk=9),
            details={"number": 1},
        )
    assert entry.about_id == 9


@pytest.mark.parametrize(
    ("details", "sentence"),
    [
        ({"share": 0.5}, "share is a float"),
        ({"share": Decimal("0.5")}, "share is a Decimal"),
        ({"at": datetime(2026, 3, 2, tzinfo=UTC)}, "at is a datetime"),
        ({"big": 2**53}, "beyond 2"),
        ({"inner": {"share": 0.5}}, "inner.share is a float"),
        ({"name": "T"}, "name would be personal"),
        ({"inner": {"email": "t"}}, "email would be personal"),
        ({"seen": "white showing"}, "seen holds words"),
        ({"parts": ["fine", "not fine"]}, "parts holds words"),
        ({"who": "somebody@example.org"}, "who holds words"),
        ({"who": "Zoë"}, "who holds words"),
        ({"long": "x" * 201}, "longer than 200"),
        ({"Größe": 1}, "is no key"),
        ({"two words": 1}, "is no key"),
    ],
)
def test_details_that_are_not_exact_or_could_be_personal_are_refused(
    details: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(RecordError, match=sentence):
        write(1, **details)
    assert not Entry.objects.exists()


def test_words_go_in_as_a_salted_hash() -> None:
    entry = write(1, reason=salted("The nape was cut short"), email=salted("t@example.org"))
    assert len(entry.details["reason"]) == 64
    assert salted("one") != salted("two")
    assert salted("one", salt="a") != salted("one", salt="b")


def test_an_action_that_nobody_registered_is_refused() -> None:
    unknown = r"does not know the action audit\.test\.undone"
    with pytest.raises(RecordError, match=unknown), transaction.atomic():
        record(academy_id=1, actor_id=3, action="audit.test.undone", subject=COHORT)


def test_what_the_sentence_speaks_of_must_be_in_the_details() -> None:
    with pytest.raises(RecordError, match="speaks of number"), transaction.atomic():
        record(academy_id=1, actor_id=3, action="audit.test.done", subject=COHORT)


def test_a_rollback_leaves_no_entry_and_no_gap() -> None:
    write(1)
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        assert write(2).sequence / 0
    assert write(3).sequence == 2
    assert Entry.objects.count() == 2


def test_an_entry_takes_two_queries_and_none_of_its_own_on_a_server(
    django_assert_num_queries: Any,
) -> None:
    """On a server it goes out with the commit, or with the next query."""
    queries = 0 if connection.vendor == "postgresql" else 2
    with transaction.atomic(), django_assert_num_queries(queries):
        record(
            academy_id=1,
            actor_id=3,
            action="audit.test.done",
            subject=COHORT,
            details={"number": 1},
        )
    assert Entry.objects.count() == 1
