"""The work can be done in a browser in which no script runs."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "plain"
PAPER = "Developer"


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    site.behind("passed", slug=SLUG, key="quarters")
    site.behind("paper", slug=SLUG, title=PAPER)
    return words


@pytest.fixture
def arrive(come: Callable[..., Visitor], told: dict[str, Any]) -> Callable[[str, str], Visitor]:
    """`arrive("apprentice", "phone")`: signed in, with scripts switched off."""

    def one(role: str, device: str) -> Visitor:
        visitor = come(device, script=False)
        visitor.sign_in(told["people"][role], told["password"])
        return visitor

    return one


def test_a_paper_is_answered(
    arrive: Callable[[str, str], Visitor], site: Site, told: dict[str, Any]
) -> None:
    apprentice = arrive("apprentice", "phone")
    apprentice.follow("Exercises")
    apprentice.follow(PAPER)
    apprentice.press("Begin")
    email = told["people"]["apprentice"]
    [question] = site.behind("questions", slug=SLUG, title=PAPER, email=email)
    for key, figure in question["right"].items():
        apprentice.page.locator(f"[name=q1-{key}]").fill(figure)
    apprentice.press("Hand in")
    apprentice.reads("Passed")


def test_every_kind_of_answer_is_given(
    arrive: Callable[[str, str], Visitor], site: Site, told: dict[str, Any]
) -> None:
    """Places of an order from lists, a place on the head by buttons, none by its button."""
    token = site.behind("trial", slug=SLUG, title="All kinds")["token"]
    apprentice = arrive("apprentice", "phone")
    page = apprentice.page
    apprentice.go(f"/{SLUG}/exercises/{token}/answer/")
    apprentice.press("Begin")
    assert page.locator(".question:visible").count() == 1
    [asked, _] = site.behind(
        "questions", slug=SLUG, title="All kinds", email=told["people"]["apprentice"]
    )
    page.locator("[name=q1-gap]").fill(asked["right"]["gap"])
    page.locator("[name=q1-lift]").fill("-2")
    page.locator("button[name=none]").click()
    page.locator("#id_q1-tools_brush").check()
    page.locator("#id_q1-tools_bowl").check()
    for place, key in enumerate("bacd", 1):
        page.locator(f"#id_q1-order_{place}").select_option(key)
    for corner, angles in (("left", "60 45"), ("right", "-60 45")):
        page.locator(f"#div_id_q1-{corner} summary").click()
        page.locator(f"[name=q1-{corner}]").fill(angles)
    apprentice.press("Question 2")
    assert page.locator("#question-2").is_visible()
    page.locator(".hops button").first.click()
    page.locator("button[value='q1-left up']").click()
    page.locator("button[value='q1-left down']").click()
    apprentice.reads("Placed on the top")
    apprentice.press("Question 2")
    for place, key in enumerate("bacd", 1):
        page.locator(f"#id_q2-order_{place}").select_option(key)
    apprentice.press("Hand in")
    apprentice.reads("Passed. All 11 marks")


def test_practice_is_logged(arrive: Callable[[str, str], Visitor]) -> None:
    apprentice = arrive("apprentice", "phone")
    apprentice.follow("Practice")
    apprentice.follow("Log")
    apprentice.follow("Back slices")
    page = apprentice.page
    page.get_by_label("How long").fill("40")
    page.locator("[name=u0]").fill("2")
    page.get_by_label("Occipital").check(force=True)
    page.get_by_label("Who stood beside you").select_option(label="Maren Tolvey")
    apprentice.press("Log this session")
    apprentice.reads("Logged. 2 panels, 40 min.")


def test_a_head_is_marked_and_signed(
    arrive: Callable[[str, str], Visitor], told: dict[str, Any]
) -> None:
    """Levels, a fault in the middle of a zone, feedback, submission and the signature."""
    assessor = arrive("assessor", "tablet")
    _mark(assessor, told)
    _submit(assessor)
    assessor.go(f"/{SLUG}/assessment/signed/")
    assessor.follow(f"Sign off {told['names']['apprentice']}, Back slices")
    for name in ("valid", "sufficient", "authentic", "current"):
        assessor.page.locator(f"[name={name}]").check()
    assessor.page.get_by_label("Your password again").fill(told["password"])
    assessor.press(f"Sign as {told['names']['assessor']}")
    assessor.reads("Signed.")


def _mark(assessor: Visitor, told: dict[str, Any]) -> None:
    page = assessor.page
    assessor.go(f"/{SLUG}/assessment/new/")
    page.get_by_label("Apprentice").select_option(label=told["names"]["apprentice"])
    page.get_by_label("Module").select_option(label="Back slices")
    assessor.press("Begin head")
    page.locator("#crit-S1-occipital .levels label").nth(3).click()
    assessor.press("Keep these levels")
    page.locator("#crit-S2- .levels label").nth(3).click()
    page.locator("section", has=page.locator("#crit-S2-")).get_by_role(
        "button", name="Keep these levels"
    ).last.click()
    page.locator("#overall .levels label").nth(3).click()
    assessor.press("Keep this rating")
    assessor.reads("Nothing is missing")
    assessor.follow("Mark a fault on the head")
    page.locator("#fault [name=fault]").select_option("own-1")
    assessor.press("Mark in the middle of the zone")
    assessor.reads("Wedge at the end")


def _submit(assessor: Visitor) -> None:
    assessor.follow("Write feedback")
    page = assessor.page
    page.get_by_label("Where").select_option("occipital")
    page.get_by_label("What was seen").fill("Foil 3 sits a finger lower than foil 2.")
    page.get_by_label("Criterion").select_option("S1")
    page.get_by_label("Level").select_option("3")
    page.get_by_label("What the hands did").fill("The comb was lifted too early.")
    assessor.press("Submit the head")
    assessor.reads("Submitted. The sheet stands as it is now.")
