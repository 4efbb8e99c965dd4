"""While a second assessor looks, the apprentice reads that, and neither marks nor levels."""

from __future__ import annotations

from collections.abc import Callable

from django.test import Client

from academy.people.models import Academy, Person
from tests.site.making import judged_head, publish

SignedIn = Callable[[Person], Client]


def test_the_apprentice_reads_that_somebody_looks_and_not_at_what(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person, signed_in: SignedIn
) -> None:
    """All levels at 3 are 75 of 100, but a rating of "just below" asks for a second look."""
    head = judged_head(
        publish(academy, educator, "foils"), assessor, apprentice, level=3, overall=2
    )
    url = f"/larkmere/assessment/results/{head.token}/"
    theirs = signed_in(apprentice).get(url).content.decode()
    assert "Being looked at by a second assessor" in theirs
    assert "Levels given" not in theirs
    assert "The head mark is" not in theirs
    assert ", level 3" not in theirs
    assert '<dd class="big">75' not in theirs
    own = signed_in(assessor).get(url).content.decode()
    assert "The head mark is 75" in own
    assert "<strong>Needs a second assessor</strong>" in own
