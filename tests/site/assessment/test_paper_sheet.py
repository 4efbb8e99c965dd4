"""The blank head sheet: one page with every place that needs a level, for the tablet's bad day."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person


def test_the_sheet_has_a_box_for_every_place_that_needs_a_level(
    version: ModuleVersion, chair: Client, url: Callable[..., str]
) -> None:
    page = chair.get(url("paper-sheet", token=version.token)).text
    zones = sum(criterion.scope == "zones" for criterion in version.criteria.all())
    whole = version.criteria.count() - zones
    assert page.count('<span class="boxes">') == zones * len(version.judged_zones) + whole
    for criterion in version.criteria.all():
        assert criterion.title in page
    assert page.count('class="a4 across') == 1
    assert page.count("data-view=") == 5


def test_a_draft_has_no_sheet_and_an_apprentice_none_either(
    version: ModuleVersion,
    educator: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    address = url("paper-sheet", token=version.token)
    assert signed_in(educator).get(address).status_code == 200
    assert signed_in(apprentice).get(address).status_code == 403
