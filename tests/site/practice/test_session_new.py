from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.utils import timezone

from academy.audit.models import Entry
from academy.curriculum.models import ModuleVersion
from academy.curriculum.services import enter_label, publish_version, start_draft
from academy.people.models import Academy, Person, Role
from academy.practice.models import PracticeSession
from academy.web.tokens import new_token
from tests.site.practice.conftest import published

if TYPE_CHECKING:
    from django.test import Client

Log = Callable[..., PracticeSession]
Send = Callable[..., Any]
CHECK = {
    "process": "permanent_white_normal",
    "c1_zone": "nape",
    "c1_minute": "40",
    "c1_wiped": "yes",
    "c1_last_place": "yes",
    "c1_seen": "translucent",
    "c1_decision": "extend",
    "c1_skin_calm": "yes",
}


@pytest.fixture
def client(signed_in: Callable[[Person], Client], apprentice: Person) -> Client:
    return signed_in(apprentice)


@pytest.fixture
def good(white: ModuleVersion, educator: Person) -> dict[str, Any]:
    """What is typed for two heads, one of them resistant, begun two hours ago."""
    began = timezone.localtime(timezone.now() - timedelta(hours=2))
    return {
        "started_at_0": f"{began:%Y-%m-%d}",
        "started_at_1": f"{began:%H:%M}",
        "minutes": "50",
        "u0": "1",
        "u1": "1",
        "zones": ["nape", "crown"],
        "criteria": ["V1"],
        "supervisor": educator.token,
        "went_well": "Full brush.",
        "to_change": "Thinner at the crown.",
        "edition": white.token,
        "key": new_token(),
    }


@pytest.fixture
def address(white: ModuleVersion) -> str:
    return f"/larkmere/practice/new/?module={white.module.token}"


@pytest.fixture
def send(client: Client, good: dict[str, Any], address: str) -> Send:
    def post(**changed: Any) -> Any:
        return client.post(address, {**good, **changed})

    return post


def test_one_press_makes_one_session_and_leads_to_it(send: Send, one_entry: Any) -> None:
    with one_entry("practice.session.logged"):
        answer = send()
    session = PracticeSession.objects.get()
    assert answer.url == f"/larkmere/practice/{session.token}/"
    assert [done.words for done in session.units.order_by("tag")] == [
        "1 head",
        "1 head, resistant",
    ]
    assert (session.zones, session.minutes) == (["nape", "crown"], 50)


def test_a_double_press_makes_one_session_and_says_so(send: Send, client: Client) -> None:
    first, again = send(), send()
    assert first.url == again.url
    assert PracticeSession.objects.count() == 1
    assert b"logged already" in client.get(again.url).content


def test_the_same_beginning_from_another_page_is_refused(send: Send) -> None:
    send()
    answer = send(key=new_token())
    assert "began at this minute" in answer.text
    assert PracticeSession.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"started_at_0": "2999-01-01"}, "starts in the future"),
        ({"started_at_0": "yesterday"}, "This is not a day"),
        ({"started_at_1": "25:99"}, "not a time of day"),
        ({"started_at_0": "", "started_at_1": ""}, "Give the day and the time"),
        ({"minutes": ""}, "No figure yet"),
        ({"minutes": "-5"}, "Too low"),
        ({"minutes": "721"}, "Too high"),
        ({"minutes": "50,5"}, "Whole minutes only"),
        ({"minutes": "50 g"}, "This is a length of time"),
        ({"minutes": "soon"}, "not a figure"),
        ({"u0": "", "u1": ""}, "Say how much you did"),
        ({"u0": "0", "u1": "0"}, "Say how much you did"),
        ({"u0": "-1"}, "Too low"),
        ({"u0": "1,5"}, "Half a head is not a head"),
        ({"u0": "501"}, "Too high"),
        ({"zones": ["chin"]}, "not on the list"),
        ({"criteria": ["Q9"]}, "not on the list"),
        ({"supervisor": ""}, "Nothing chosen yet"),
        ({"supervisor": "somebody"}, "not on the list"),
        ({"went_well": "x" * 1001}, "Too long"),
        ({"process": "henna"}, "not on the list"),
        ({"label": "nothing"}, "not on the list"),
        ({"key": "old"}, "too old to be sent"),
        ({"edition": "another"}, "new edition"),
        ({**CHECK, "process": ""}, "Say what was on the hair"),
        ({**CHECK, "c1_wiped": ""}, "whether the strand was wiped clean"),
        ({**CHECK, "c1_minute": "41"}, "log it as an event"),
        ({**CHECK, "c1_minute": "46", "c1_decision": "rinse"}, "past the ceiling of 45 min"),
        ({"c3_note": "Only a note."}, "Say where you looked"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(
    send: Send, changed: dict[str, Any], sentence: str
) -> None:
    entries = Entry.objects.count()
    answer = send(**changed)
    assert answer.status_code == 200
    assert sentence in answer.text
    assert "Thinner at the crown." in answer.text
    assert not PracticeSession.objects.exists()
    assert Entry.objects.count() == entries


def test_a_day_to_come_is_said_together_with_what_else_is_wrong(send: Send) -> None:
    answer = send(started_at_0="2999-01-01", minutes="", supervisor="")
    assert "Three lines need you before this can be logged" in answer.text
    assert "starts in the future" in answer.text
    assert "No figure yet" in answer.text
    assert "Nothing chosen yet" in answer.text


def test_figures_are_read_as_people_write_them(send: Send) -> None:
    send(minutes="50 min", u0="2,0", started_at_1="9.05", started_at_0=_yesterday())
    session = PracticeSession.objects.get()
    assert session.minutes == 50
    assert session.units.get(tag="").count == 2
    assert timezone.localtime(session.started_at).hour == 9


def _yesterday() -> str:
    return f"{timezone.localdate() - timedelta(days=1):%d.%m.%Y}"


def test_nobody_need_have_stood_beside(send: Send) -> None:
    send(supervisor="nobody")
    assert PracticeSession.objects.get().state == PracticeSession.State.ALONE


def test_another_academys_supervisor_is_not_on_the_list(
    send: Send, make_member: Callable[..., Person], other_academy: Academy
) -> None:
    elsewhere = make_member(Role.EDUCATOR, academy=other_academy)
    assert "not on the list" in send(supervisor=elsewhere.token).text


def test_another_academys_module_is_not_found(
    client: Client,
    white: ModuleVersion,
    other_academy: Academy,
    publish: Callable[[Academy], None],
) -> None:
    publish(other_academy)
    theirs = published(other_academy, "regrowth").module.token
    assert client.get(f"/larkmere/practice/new/?module={theirs}").status_code == 404
    assert client.get("/larkmere/practice/new/?module=x").status_code == 404


def test_a_check_is_kept_with_its_ceiling(send: Send) -> None:
    send(**CHECK)
    session = PracticeSession.objects.get()
    check = session.strand_checks.get()
    assert (check.minute, check.decision, check.skin_calm, check.stretches_back) == (
        40,
        "extend",
        True,
        None,
    )
    assert session.timing["says"] == "45 min, the standard rule"


def test_a_product_label_goes_before_the_house_rule(
    send: Send, academy: Academy, educator: Person
) -> None:
    """Training cream B says 50 min where the house rule says 45."""
    label = enter_label(
        academy=academy,
        by=educator,
        name="Training cream B",
        fields={"kind": "permanent", "minutes": 35, "ceiling": 50},
    )
    late = {**CHECK, "c1_minute": "45"}
    assert "log it as an event" in send(**late).text
    send(**late, label=label.token)
    assert PracticeSession.objects.get().timing["ceiling"] == 50


def test_a_name_in_the_diary_is_asked_about_before_it_is_saved(send: Send) -> None:
    asked = send(to_change="Maren says thinner.")
    assert "“Maren” may be the name" in asked.text
    assert not PracticeSession.objects.exists()
    send(to_change="Maren says thinner.", names_ok="on")
    assert PracticeSession.objects.get().to_change == "Maren says thinner."


def test_ones_own_name_and_small_words_are_no_names(send: Send) -> None:
    send(to_change="Tamsin, keep the tail flat. maren")
    assert PracticeSession.objects.count() == 1


def test_whoever_began_an_edition_stays_on_it(
    send: Send, log: Log, white: ModuleVersion, educator: Person, client: Client, address: str
) -> None:
    log(days=3)
    _publish_next(white, educator)
    send()
    assert PracticeSession.objects.first().module_version == white  # type: ignore[union-attr]


def test_a_page_of_an_edition_that_was_replaced_shows_itself_again(
    send: Send, white: ModuleVersion, educator: Person
) -> None:
    new = _publish_next(white, educator)
    answer = send()
    assert "new edition" in answer.text
    assert new.token in answer.text
    assert not PracticeSession.objects.exists()
    send(edition=new.token)
    assert PracticeSession.objects.get().module_version == new


def _publish_next(version: ModuleVersion, educator: Person) -> ModuleVersion:
    draft = start_draft(module=version.module, by=educator)
    ModuleVersion.objects.filter(pk=draft.pk).update(purpose="Said anew.")
    publish_version(version=ModuleVersion.objects.get(pk=draft.pk), by=educator)
    return ModuleVersion.objects.get(pk=draft.pk)


def test_the_page_shows_cautions_rules_and_where_the_draft_is_kept(
    client: Client, address: str, apprentice: Person, white: ModuleVersion
) -> None:
    page = client.get(address).text
    assert "Never go past the longest time on the label" in page
    assert "This sheet is for training" in page
    assert f'data-draft="{apprentice.token}:{white.module.token}"' in page
    assert "Signing out removes it" in page
    assert page.count("data-zone=") >= 7


def test_the_time_begun_is_now_in_the_academys_zone(client: Client, address: str) -> None:
    form = client.get(address).context["form"]
    began: datetime = form["started_at"].value()
    assert abs((timezone.now() - began).total_seconds()) < 60


def test_begun_modules_come_first_and_a_word_narrows_the_list(
    client: Client, log: Log, white: ModuleVersion
) -> None:
    assert "Begun" not in client.get("/larkmere/practice/new/").text
    log()
    page = client.get("/larkmere/practice/new/").text
    assert page.index("White-hair coverage") < page.index("Hygiene")
    found = client.get("/larkmere/practice/new/?q=hygi").text
    assert "Hygiene" in found
    assert "White-hair" not in found
    assert "No module has this" in client.get("/larkmere/practice/new/?q=zzz").text
