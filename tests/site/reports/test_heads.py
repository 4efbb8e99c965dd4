"""What was done and lost, on the head: the drawing and its table say the same."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.models import Mark
from academy.assessment.services.scoring import set_level
from academy.craft.head.zones import Zone
from academy.practice.models import PracticeSession
from academy.practice.queries import zones_practised
from academy.reports.cohorts import Losses, ZoneLoss
from academy.reports.heads import assessed_sheet, losses_sheet, lost_by_zone, practised_sheet
from tests.site.making import draft_head, judged_head, mark_all, publish

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

NBSP = "\N{NO-BREAK SPACE}"


@pytest.fixture
def version(academy: Academy, educator: Person) -> ModuleVersion:
    return publish(academy, educator, "coverage", zones=True)


def test_the_share_lost_in_a_zone_weights_its_criteria(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = draft_head(version, assessor, apprentice)
    mark_all(head, level=3, overall=4)
    criterion = version.criteria.filter(scope="zones").first()
    assert criterion
    zone = version.judged_zones[0]
    set_level(assessment=head, by=assessor, criterion=criterion, zone=zone, level=0)
    lost = lost_by_zone([head])
    marks = list(Mark.objects.filter(assessment=head).exclude(zone="").select_related("criterion"))
    assert marks
    for judged, share in lost.items():
        here = [mark for mark in marks if mark.zone == judged.value]
        weight = sum(mark.criterion.weight for mark in here)
        given = sum(mark.criterion.weight * mark.level for mark in here)
        assert share == pytest.approx(1 - given / (4 * weight))
    assert set(lost) == {Zone(mark.zone) for mark in marks}
    assert lost[Zone(zone)] > 0.25


def test_the_losses_of_a_group_are_drawn_and_told_alike(version: ModuleVersion) -> None:
    zones = (
        ZoneLoss(Zone.NAPE, 0.36, 16, "Coverage", "Banding", "Colour overlapped."),
        ZoneLoss(Zone.TOP, 0.2, 15, "", "", ""),
    )
    sheet = losses_sheet(Losses(version.module, version.title, 16, zones))
    (table,) = sheet.tables
    assert [(row.word, list(row.cells)) for row in table.rows] == [
        ("Nape", [f"36{NBSP}%", "16", "Coverage", "Banding", "Colour overlapped."]),
        ("Top", [f"20{NBSP}%", "15", "none", "none marked", ""]),
    ]
    back = next(view.svg for view in sheet.views if view.title == "Back")
    assert f"36{NBSP}%</text>" in back
    assert [layer.key for layer in sheet.layers] == ["zones", "heat"]


def test_practice_is_counted_by_the_sessions_that_name_a_zone(
    version: ModuleVersion, apprentice: Person, academy: Academy
) -> None:
    for n, zones in enumerate((["nape", "crown"], ["nape"], [], ["top"])):
        PracticeSession.objects.create(
            academy=academy,
            apprentice=apprentice,
            module_version=version,
            started_at=timezone.now() - timedelta(days=n + 1),
            minutes=30,
            zones=zones,
            client_key=f"{n:032}",
            taken_back_at=timezone.now() if zones == ["top"] else None,
        )
    often, named = zones_practised(apprentice, version.module)
    assert (often, named) == ({Zone.NAPE: 2, Zone.CROWN: 1}, 2)
    sheet = practised_sheet(often, named)
    assert sheet
    rows = {row.key: row.cells[-1] for row in sheet.tables[0].rows}
    assert (rows["nape"], rows["crown"], rows["top"]) == ("2 of 2", "1 of 2", "")
    assert practised_sheet({}, 0) is None


def test_nothing_is_drawn_of_a_person_who_lost_nothing_anywhere() -> None:
    assert assessed_sheet({}, []) is None


def test_the_evidence_shows_marks_lost_and_faults_on_one_sheet(
    signed_in: Callable[[Person], Client],
    version: ModuleVersion,
    educator: Person,
    assessor: Person,
    apprentice: Person,
) -> None:
    judged_head(version, assessor, apprentice, level=3)
    url = f"/larkmere/progress/{apprentice.token}/{version.module.token}/"
    page = signed_in(educator).get(url).content.decode()
    assert "Where marks are lost" in page
    assert page.count(f'<td class="n">25{NBSP}%</td>') >= len(version.judged_zones) > 0


def test_an_apprentice_is_not_shown_what_a_second_assessor_still_looks_at(
    signed_in: Callable[[Person], Client],
    version: ModuleVersion,
    educator: Person,
    assessor: Person,
    apprentice: Person,
) -> None:
    """All levels at 3, and a rating of "just below", which asks for a second look."""
    judged_head(version, assessor, apprentice, level=3, overall=2)
    url = f"/larkmere/progress/{apprentice.token}/{version.module.token}/"
    assert "Where marks are lost" in signed_in(educator).get(url).content.decode()
    assert "Where marks are lost" not in signed_in(apprentice).get(url).content.decode()
