"""The tests' own clean-up: real transactions leave an empty record under its guards."""

from __future__ import annotations

import pytest
from django.db import transaction

from academy.audit import triggers
from academy.audit.models import Entry
from tests.site.entries import recorded


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("time", ["first", "second"])
def test_each_test_begins_with_an_empty_guarded_record(time: str) -> None:
    assert triggers.missing() == []
    with transaction.atomic():
        entry = recorded(
            academy_id=1,
            actor_id=None,
            action="audit.test.done",
            subject=("people.cohort", 4),
            details={"number": 1},
        )
    assert (entry.sequence, Entry.objects.count()) == (1, 1)
