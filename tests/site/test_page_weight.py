"""The pages of the shipped curriculum, with all that is drawn on them, stay light.

What the browser loads in the end, letters and styles with it, is weighed in tests/browser.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from academy.assessment.models import Assessment
from academy.curriculum.models import ModuleVersion
from academy.curriculum.services import load_modules
from tests.site.world import staff

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person

LIMIT = 15 * 1024


def weigh(browser: Client, address: str) -> int:
    """The bytes of the page as they go over the wire, without the head of the answer."""
    answer = browser.get(address, headers={"accept-encoding": "gzip"})
    assert answer.status_code == 200, address
    assert answer["Content-Encoding"] == "gzip"
    return len(answer.content)


def test_every_page_with_drawn_heads_is_light(signed_in: Callable[[Person], Client]) -> None:
    staffed = staff("larkmere", "Larkmere Academy")
    load_modules(academy=staffed.academy, by=None)
    apprentice, assessor = signed_in(staffed.apprentice), signed_in(staffed.assessor)
    weights = {}
    for version in ModuleVersion.objects.select_related("module"):
        key, token = version.module.key, version.module.token
        head = Assessment.objects.create(
            academy=staffed.academy,
            apprentice=staffed.apprentice,
            assessor=staffed.assessor,
            module_version=version,
        )
        weights[f"{key}, its page"] = weigh(apprentice, f"/larkmere/modules/{token}/")
        log = f"/larkmere/practice/new/?module={token}"
        weights[f"{key}, logging it"] = weigh(apprentice, log)
        chair = f"/larkmere/assessment/head/{head.token}/"
        weights[f"{key}, at the chair"] = weigh(assessor, chair)
    assert len(weights) == 17 * 3
    assert {page: weight for page, weight in weights.items() if weight > LIMIT} == {}
    print("heaviest:", *sorted((w, p) for p, w in weights.items())[-4:])  # noqa: T201
