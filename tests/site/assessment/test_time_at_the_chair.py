"""The time at the chair against the time allowed, as the scoring page says it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from academy.curriculum.content.shape import TimePer
from tests.site.making import draft_head, module_content, publish_content

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person


@pytest.mark.parametrize(
    ("per", "words"),
    [(TimePer.WORK, " of 30 minutes"), (TimePer.FOIL, ", allowed 2.5 minutes a foil")],
)
def test_the_clock_of_a_head_is_not_set_against_minutes_a_foil(
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    per: TimePer,
    words: str,
) -> None:
    minutes = Decimal("30" if per is TimePer.WORK else "2.5")
    content = replace(module_content("foils"), time_minutes=minutes, time_per=per)
    draft = draft_head(publish_content(academy, educator, content), assessor, apprentice)
    page = signed_in(assessor).get(url("assessment-score", token=draft.token)).content.decode()
    clock = page.split('id="clock"')[1].split("<em")[0].split(">", 1)[1]
    assert re.sub(r"^\d+:\d\d", "", re.sub(r"<[^>]+>", "", clock).strip()) == words
