"""The main road, walked by five people with their own devices, from an invitation to a
certificate that is checked, withdrawn and checked again.

Every page on the way is judged at three sizes; nobody's browser may complain.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from tests.browser.chairside import write_boxes
from tests.site.world import needs_press

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "larkmere"
EMAIL = "lotte@example.test"
NAME = "Lotte Brandvold"
PASSWORD = "seven-wet-towels"
PAPER = "Developer for the back"


def today() -> date:
    return datetime.now(ZoneInfo("Europe/London")).date()


@dataclass
class Road:
    """Those who walk it, and what is known on the way."""

    site: Site
    password: str
    people: dict[str, str]
    come: Callable[..., Visitor]

    def arrive(self, role: str, device: str) -> Visitor:
        visitor = self.come(device)
        visitor.sign_in(self.people[role], self.password)
        visitor.look()
        return visitor


def test_from_an_invitation_to_a_checked_certificate(
    site: Site, come: Callable[..., Visitor]
) -> None:
    needs_press()
    told = site.behind("academy", slug=SLUG)
    road = Road(site, told["password"], told["people"], come)
    manager = road.arrive("manager", "desktop")
    invite(manager)
    apprentice = accept(road)
    site.behind("passed", slug=SLUG, key="quarters", email=EMAIL)
    educator = road.arrive("educator", "desktop")
    publish(educator)
    set_a_paper(educator)
    answer_with_a_slip(road, apprentice)
    answer_right(road, apprentice)
    log_practice(apprentice)
    confirm_practice(educator)
    ask_for_assessment(apprentice)
    book(educator, road)
    assessor = road.arrive("assessor", "tablet")
    score(assessor)
    write_feedback(assessor)
    read_the_result(apprentice)
    sign_off(assessor, road)
    verifier = road.arrive("verifier", "desktop")
    uphold(verifier)
    public = issue(manager)
    salon = come("phone")
    check(salon, public)
    withdraw(manager)
    check_withdrawn(salon, public)
    verify_the_record(manager, road)


def invite(manager: Visitor) -> None:
    manager.follow("People")
    manager.look()
    manager.follow("Invite")
    manager.look()
    page = manager.page
    page.get_by_label("E-mail address").fill(EMAIL)
    page.get_by_label("First and last name").fill(NAME)
    page.get_by_label("Role").select_option("apprentice")
    page.get_by_label("Cohort").select_option(label="Plover")
    manager.press("Send invitation")
    manager.reads(f"The link is on its way to {EMAIL}.")
    manager.look()


def accept(road: Road) -> Visitor:
    apprentice = road.come("phone")
    apprentice.go(road.site.link_for(EMAIL))
    apprentice.look()
    apprentice.page.get_by_label("Password").fill(PASSWORD)
    apprentice.page.get_by_label("I have read the privacy notice").check()
    apprentice.press("Come in as apprentice")
    assert apprentice.page.url == f"{road.site.home}/{SLUG}/"
    apprentice.look()
    return apprentice


def publish(educator: Visitor) -> None:
    """Version 2 of the module: one step said better."""
    educator.follow("Modules")
    educator.look()
    educator.follow("Back slices")
    educator.look()
    educator.press("Start a draft of the next version")
    educator.page.get_by_label("Purpose").fill("Take thin subsections at the back, evenly.")
    educator.press("Save the")
    educator.reads("saved.")
    educator.look()
    educator.follow("Preview")
    educator.look()
    educator.follow("Publish")
    educator.look()
    educator.press("Publish version 2")
    educator.reads("is published and stands.")
    educator.look()


def set_a_paper(educator: Visitor) -> None:
    educator.follow("Exercises")
    educator.look()
    educator.follow("Set a paper")
    educator.look()
    page = educator.page
    page.get_by_label("Cohort").select_option(label="Plover")
    page.get_by_label("Title").fill(PAPER)
    page.get_by_label("Exercise").select_option("dilute-a-developer")
    page.get_by_label("Level").select_option("first")
    page.get_by_label("Questions").fill("1")
    page.get_by_label("Belongs to module").select_option(label="Back slices, version 2")
    educator.press("Draw and look at it")
    educator.reads("with key")
    educator.look()
    educator.press("Set this paper")
    educator.reads(PAPER)
    educator.look()


def _asked(road: Road, attempt: int) -> dict[str, Any]:
    [question] = road.site.behind("questions", slug=SLUG, title=PAPER, email=EMAIL, attempt=attempt)
    return dict(question)


def _answer(apprentice: Visitor, figures: dict[str, str]) -> None:
    for key, figure in figures.items():
        apprentice.page.locator(f"[name=q1-{key}]").fill(figure)
        apprentice.page.locator(f"[name=q1-{key}]").blur()
    apprentice.reads("kept")
    apprentice.look()
    apprentice.press("Hand in")


def answer_with_a_slip(road: Road, apprentice: Visitor) -> None:
    apprentice.follow("Exercises")
    apprentice.look()
    apprentice.follow(PAPER)
    apprentice.look()
    apprentice.press("Begin")
    question = _asked(road, 1)
    slip = question["slips"][0]
    _answer(apprentice, {**question["right"], slip["field"]: slip["value"]})
    apprentice.reads(slip["sentence"])
    apprentice.look()


def answer_right(road: Road, apprentice: Visitor) -> None:
    apprentice.press("Try again, new numbers")
    _answer(apprentice, _asked(road, 2)["right"])
    apprentice.reads("Passed")
    apprentice.look()


def log_practice(apprentice: Visitor) -> None:
    """Two panels with a strand check, which fill the module's target."""
    apprentice.follow("Practice")
    apprentice.look()
    apprentice.follow("Log")
    apprentice.look()
    apprentice.follow("Back slices")
    apprentice.look()
    page = apprentice.page
    page.get_by_label("How long").fill("45 min")
    page.locator("[name=u0]").fill("2")
    page.get_by_label("Who stood beside you").select_option(label="Maren Tolvey")
    page.get_by_text("What was on the hair").click()
    page.get_by_label("On the hair").select_option(index=1)
    page.get_by_text("Strand check 1").click()
    check = page.locator("details", has_text="Strand check 1")
    check.get_by_label("Zone").select_option("nape")
    check.get_by_label("Minutes since the end of application").fill("15")
    for name in ("wiped", "last_place"):
        check.locator(f"[name=c1_{name}][value=yes]").check(force=True)
    check.locator("[name=c1_seen]").first.check(force=True)
    check.locator("[name=c1_decision][value=rinse]").check(force=True)
    page.get_by_label("What went well").fill("The parting stayed level.")
    apprentice.look()
    apprentice.press("Log this session")
    apprentice.reads("Logged. 2 panels, 45 min.")
    apprentice.look()


def confirm_practice(educator: Visitor) -> None:
    educator.follow("Practice")
    educator.look()
    educator.follow(NAME)
    educator.look()
    educator.press("Confirm: it was so")
    educator.reads("sees it in the log.")
    educator.look()


def ask_for_assessment(apprentice: Visitor) -> None:
    """From the first page, which says what is next."""
    apprentice.go(f"/{SLUG}/")
    apprentice.look()
    apprentice.press("Ask for an assessment")
    apprentice.look()


def book(educator: Visitor, road: Road) -> None:
    educator.go(f"/{SLUG}/")
    educator.look()
    educator.follow("Book")
    educator.look()
    page = educator.page
    page.get_by_label("Assessor").select_option(label="Dilys Okafor-Reed")
    page.locator("[name=at_0]").fill((today() + timedelta(days=1)).isoformat())
    page.locator("[name=at_1]").fill("10:30")
    page.get_by_label("Place").fill("chair 4")
    educator.press("Book the assessor")
    educator.reads("Booked.")
    educator.look()


def score(assessor: Visitor) -> None:
    """Levels and the overall rating by tap, and a fault by a tap on the head itself."""
    assessor.go(f"/{SLUG}/")
    assessor.look()
    assessor.follow(f"Begin head of {NAME}")
    assessor.look()
    assessor.press("Begin head")
    assessor.reads("Still missing: 3")
    assessor.look()
    page = assessor.page
    page.locator("#crit-S1-occipital .levels label").nth(3).tap()
    assessor.reads("Still missing: 2")
    page.locator("#crit-S2- .levels label").nth(4).tap()
    assessor.reads("Still missing: 1")
    page.locator("#overall .levels label").nth(3).tap()
    assessor.reads("Nothing is missing")
    assessor.follow("Mark a fault on the head")
    assessor.look()
    page.locator("#fault [name=fault]").select_option("own-1")
    page.locator(".hd-big [data-zone=occipital]").first.tap()
    page.wait_for_url(lambda url: "mark=fault" not in url)
    page.locator(".fault-row", has_text="Wedge at the end").wait_for()
    assessor.look()


def write_feedback(assessor: Visitor) -> None:
    assessor.follow("Write feedback")
    assessor.look()
    write_boxes(
        assessor.page,
        zone="occipital",
        criterion="S1",
        level=3,
        seen="Foil 3 sits a finger lower than foil 2.",
    )
    assessor.press("Submit the head")
    assessor.reads("Submitted. The sheet stands as it is now.")
    assessor.look()


def read_the_result(apprentice: Visitor) -> None:
    apprentice.go(f"/{SLUG}/")
    apprentice.follow("Results")
    apprentice.look()
    apprentice.follow("Back slices")
    apprentice.look()
    apprentice.reads("Foil 3 sits a finger lower than foil 2.")
    apprentice.press("I have read this")
    apprentice.look()


def sign_off(assessor: Visitor, road: Road) -> None:
    assessor.go(f"/{SLUG}/")
    assessor.follow("Sign off")
    assessor.look()
    assessor.follow(f"Sign off {NAME}, Back slices")
    assessor.look()
    page = assessor.page
    for statement in ("Valid", "Sufficient", "Authentic", "Current"):
        page.get_by_label(re.compile(f"^{statement}:")).check()
    page.get_by_label("Your password again").fill(road.password)
    assessor.press("Sign as Dilys Okafor-Reed")
    assessor.reads("Signed.")
    assessor.look()


def uphold(verifier: Visitor) -> None:
    verifier.follow("Decisions")
    verifier.look()
    verifier.follow(f"Open evidence of {NAME}, Back slices")
    verifier.look()
    verifier.page.get_by_label("upheld").check()
    verifier.press("Record as Ines Carradine")
    verifier.reads("Recorded:")
    verifier.look()


def issue(manager: Visitor) -> str:
    """Issues the certificate, opens its PDF, and gives the address of its public page."""
    manager.go(f"/{SLUG}/")
    manager.look()
    manager.follow("Certificates")
    manager.look()
    manager.follow(f"Issue Foil work to {NAME}")
    manager.look()
    manager.press(f"Issue to {NAME}")
    manager.reads("Issued.")
    manager.look()
    link = manager.page.locator("a[href$='certificate.pdf']").first
    answer = manager.context.request.get(f"{manager.home}{link.get_attribute('href')}")
    assert answer.ok
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF-")
    return manager.page.locator("a", has_text=f"{manager.home}/c/").inner_text()


def check(salon: Visitor, public: str) -> None:
    """Somebody with the certificate in hand, who was never here: no cookie is left."""
    salon.go(public)
    assert salon.heading == "Valid"
    salon.reads("L… B…")
    assert NAME not in salon.page.content()
    assert salon.context.cookies() == []
    salon.look()


def withdraw(manager: Visitor) -> None:
    manager.follow("Withdraw this certificate")
    manager.look()
    manager.page.locator("[name=reason]").fill("Issued to the wrong person.")
    manager.page.get_by_label("I know that this cannot be taken back").check()
    manager.press("Withdraw certificate")
    manager.reads("Withdrawn. The public page says so from now on.")
    manager.look()


def check_withdrawn(salon: Visitor, public: str) -> None:
    salon.go(public)
    assert salon.heading == "Withdrawn"
    assert "wrong person" not in salon.page.content()
    salon.reads("L… B…")
    assert NAME not in salon.page.content()
    salon.look()


def verify_the_record(manager: Visitor, road: Road) -> None:
    manager.follow("Record")
    manager.look()
    manager.press("Verify")
    manager.reads("The record holds.")
    manager.look()
    told = road.site.behind("record", slug=SLUG)
    assert told["broken"] is None
    assert told["checked"] > 30
