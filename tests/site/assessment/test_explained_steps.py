"""Each branch of trade rule 5.1, read from the words of the page that explains the outcome.

The module has five criteria of one weight: gloves (must pass), coverage in four zones, order,
timing and record. All at 3 is 75 of 100, one 2 is 70, two are 65, the pass line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from html import unescape
from typing import TYPE_CHECKING

import pytest

from academy.assessment.services.scoring import (
    leave_zone_out,
    set_level,
    set_minutes,
    set_overall,
    stop_head,
)
from academy.assessment.services.submitting import submit
from academy.craft.head.zones import Zone
from academy.curriculum.content import CriterionContent, Scope
from academy.curriculum.services import publish_version, start_module, write_draft
from tests.site.making import LEVELS, draft_head, full_boxes, module_content

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

GLOVES = ("A1", "")
ZONES = (Zone.TOP, Zone.CROWN, Zone.OCCIPITAL, Zone.NAPE)
HEAD = {"A1": "gloves on", "A3": "order", "A4": "timing", "A5": "record"}
NOT_COMPUTED = "Not computed: a stop event ended the head."
SECOND = "A second assessor looks too."
Levels = Mapping[tuple[str, str], int]


@dataclass
class Judged:
    """What one head is given: 3 everywhere but for `levels`, rated 3."""

    levels: Levels = field(default_factory=dict)
    rating: int = 3
    left_out: Mapping[Zone, str] = field(default_factory=dict)
    stop: str = ""
    minutes: int | None = None


@pytest.fixture
def five(academy: Academy, educator: Person) -> ModuleVersion:
    first, coverage = module_content("five", zones=True).criteria
    heads = [
        CriterionContent(code, title, Scope.HEAD, LEVELS)
        for code, title in HEAD.items()
        if code != "A1"
    ]
    content = replace(
        module_content("five", zones=True),
        criteria=(first, replace(coverage, weight=1), *heads),
        judged_zones=ZONES,
        time_minutes=Decimal(60),
    )
    draft = start_module(academy=academy, by=educator, key="five", title="Five")
    write_draft(version=draft, content=content, by=educator)
    return publish_version(version=draft, by=educator)


@pytest.fixture
def head(five: ModuleVersion, assessor: Person, apprentice: Person) -> Callable[..., Assessment]:
    def judge(judged: Judged) -> Assessment:
        row = draft_head(five, assessor, apprentice)
        for zone, reason in judged.left_out.items():
            leave_zone_out(assessment=row, by=assessor, zone=zone.value, reason=reason)
        for criterion in five.criteria.all():
            zones = [zone.value for zone in ZONES if zone not in judged.left_out]
            for at in zones if criterion.code == "A2" else [""]:
                level = judged.levels.get((criterion.code, at), 3)
                set_level(assessment=row, by=assessor, criterion=criterion, zone=at, level=level)
        if judged.minutes is not None:
            set_minutes(assessment=row, by=assessor, minutes=judged.minutes)
        if judged.stop:
            stop_head(assessment=row, by=assessor, event=judged.stop)
        set_overall(assessment=row, by=assessor, rating=judged.rating)
        submit(assessment=row, by=assessor, points=[full_boxes()])
        row.refresh_from_db()
        return row

    return judge


@pytest.fixture
def said(
    head: Callable[[Judged], Assessment], chair: Client, url: Callable[..., str]
) -> Callable[..., dict[str, str]]:
    """`said(levels=…)`: the words of each step by its number, and of the whole under ""."""

    def words(**judged: object) -> dict[str, str]:
        row = head(Judged(**judged))  # type: ignore[arg-type]
        page = chair.get(url("explained", token=row.token)).content.decode()
        steps = page[page.index("Step by step") : page.index("After the marks")]
        found = {"": _plain(page)}
        for item in re.findall(r"<li>(.*?)</li>", steps, re.DOTALL):
            number = re.search(r"<b>(\d+) ", item)
            assert number, item
            found[number[1]] = _plain(item)
        assert list(found) == ["", *map(str, range(1, 11))]
        assert "The same, byte for byte." in found[""]
        return found

    return words


def _plain(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def decides(steps: dict[str, str]) -> dict[str, str]:
    """Which step decides, and what: there is one."""
    return {
        n: m[1] for n, words in steps.items() if n and (m := re.search(r"Decides: (.*)\.", words))
    }


def test_step_1_a_stop_event_decides_and_nothing_else_is_computed(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(stop="no-gloves", levels={GLOVES: 0})
    assert decides(steps) == {"1": "not yet"}
    assert "reminder" in steps["1"]
    assert all(NOT_COMPUTED in steps[str(number)] for number in range(2, 11))
    assert "No step asked for a second assessor." in steps[""]


def test_step_2_one_zone_left_out_is_named_with_its_reason_and_leaves_the_means(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(left_out={Zone.NAPE: "Cut too short."})
    assert decides(steps) == {"7": "competent"}
    assert "Left out: nape. Cut too short." in steps["2"]
    assert "nape" not in steps["4"]
    assert re.search(r"coverage: \([\d.]+ × 3 \+ [\d.]+ × 3 \+ [\d.]+ × 3\)", steps["5"])


def test_step_2_more_than_one_zone_left_out_decides_not_yet(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(left_out={Zone.NAPE: "No time.", Zone.TOP: "No time."})
    assert decides(steps) == {"2": "not yet"}
    assert "Zones that may be left out with a reason: 1; more is not yet." in steps["2"]
    assert "Step 2 had decided." in steps["7"]


def test_step_2_what_is_unmarked_cannot_be_submitted_so_no_level_is_missing(
    said: Callable[..., dict[str, str]],
) -> None:
    assert "8 levels given, 0 missing." in said()["2"]


def test_step_3_a_must_pass_criterion_under_3_decides_and_is_named(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(levels={GLOVES: 2})
    assert decides(steps) == {"3": "not yet"}
    assert "gloves on: 2" in steps["3"]
    assert "Head mark 70, pass line 65" in steps["7"]
    assert "Step 3 had decided." in steps["7"]


@pytest.mark.parametrize("level", [0, 1])
def test_step_4_a_zone_at_0_or_1_decides_and_is_named(
    said: Callable[..., dict[str, str]], level: int
) -> None:
    steps = said(levels={("A2", "nape"): level})
    assert decides(steps) == {"4": "not yet"}
    assert f"coverage: top 3, crown 3, occipital 3, nape {level}" in steps["4"]
    assert "Step 4 had decided." in steps["7"]


def test_step_5_a_zone_criterion_is_the_mean_by_area_and_a_head_criterion_its_level(
    said: Callable[..., dict[str, str]],
) -> None:
    words = said(levels={("A2", "occipital"): 4, ("A4", ""): 2})["5"]
    shares = [float(share) for share in re.findall(r"([\d.]+) × \d", words)]
    whole, mark = re.findall(r"/ ([\d.]+) = ([\d.]+)", words)[0]
    assert float(whole) == pytest.approx(sum(shares))
    assert float(mark) == pytest.approx(3 + shares[2] / sum(shares), abs=0.0005)
    assert "timing: 2" in words


def test_step_6_the_head_mark_is_written_out(said: Callable[..., dict[str, str]]) -> None:
    words = said(levels={("A3", ""): 2})["6"]
    assert "100 × (1 × 3 + 1 × 3 + 1 × 2 + 1 × 3 + 1 × 3) / 20 = 70" in words


def test_step_7_above_the_pass_line_is_competent(said: Callable[..., dict[str, str]]) -> None:
    steps = said()
    assert decides(steps) == {"7": "competent"}
    assert "Head mark 75, pass line 65" in steps["7"]


def test_step_7_below_the_pass_line_is_not_yet(said: Callable[..., dict[str, str]]) -> None:
    steps = said(levels={("A3", ""): 1, ("A4", ""): 1})
    assert decides(steps) == {"7": "not yet"}
    assert "Head mark 55, pass line 65" in steps["7"]


def test_step_7_at_the_line_counts_as_reached_and_is_near_it(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(levels={("A3", ""): 2, ("A4", ""): 2})
    assert decides(steps) == {"7": "competent"}
    assert "Head mark 65, pass line 65" in steps["7"]
    assert SECOND in steps["8"]


def test_step_8_near_the_line_a_second_assessor_looks_whichever_step_decided(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(levels={GLOVES: 2, ("A4", ""): 2})
    assert decides(steps) == {"3": "not yet"}
    assert "Head mark 65, band 62 to 68" in steps["8"]
    assert SECOND in steps["8"]
    assert "A second assessor was asked for: near the pass line (step 8)." in steps[""]


def test_step_8_away_from_the_line_nothing_follows(said: Callable[..., dict[str, str]]) -> None:
    assert "Nothing follows." in said()["8"]


@pytest.mark.parametrize("rating", [1, 2])
def test_step_9_competent_with_rating_1_or_2_asks_for_a_second_assessor(
    said: Callable[..., dict[str, str]], rating: int
) -> None:
    steps = said(rating=rating)
    assert decides(steps) == {"7": "competent"}
    assert f"Overall rating {rating}, " in steps["9"]
    assert SECOND in steps["9"]
    assert "the overall rating differs (step 9)." in steps[""]


@pytest.mark.parametrize("rating", [4, 5])
def test_step_9_not_yet_by_the_line_with_rating_4_or_5_asks_for_a_second_assessor(
    said: Callable[..., dict[str, str]], rating: int
) -> None:
    steps = said(rating=rating, levels={("A3", ""): 1, ("A4", ""): 1})
    assert decides(steps) == {"7": "not yet"}
    assert SECOND in steps["9"]


def test_step_9_not_yet_by_an_earlier_step_with_rating_5_asks_for_nobody(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(rating=5, levels={GLOVES: 2})
    assert decides(steps) == {"3": "not yet"}
    assert "Nothing follows." in steps["9"]
    assert "No step asked for a second assessor." in steps[""]


@pytest.mark.parametrize(("minutes", "follows"), [(72, "Nothing follows."), (73, "Noted.")])
def test_step_10_more_than_20_percent_over_the_time_is_noted_and_decides_nothing(
    said: Callable[..., dict[str, str]], minutes: int, follows: str
) -> None:
    steps = said(minutes=minutes)
    assert f"{minutes} minutes used, 60 allowed; a note is made over 72" in steps["10"]
    assert follows in steps["10"]
    assert decides(steps) == {"7": "competent"}


def test_the_first_step_that_decides_is_followed_by_what_the_later_ones_found(
    said: Callable[..., dict[str, str]],
) -> None:
    steps = said(
        levels={GLOVES: 1, ("A2", "crown"): 0},
        left_out={Zone.NAPE: "No time.", Zone.TOP: "No time."},
    )
    assert decides(steps) == {"2": "not yet"}
    assert "Not met. Step 2 had decided." in steps["3"]
    assert "Not met. Step 2 had decided." in steps["4"]
