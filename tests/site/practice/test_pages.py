from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from academy.audit.models import Entry
from academy.people import services as people
from academy.people.models import Academy, Person, Role
from academy.practice import services
from academy.practice.models import PracticeSession
from academy.practice.names import names_in
from academy.practice.services import Check

Log = Callable[..., PracticeSession]
SignedIn = Callable[[Person], Client]
LIST = "/larkmere/practice/"
LATE = Check(
    "nape", 44, wiped=True, last_place=True, seen="translucent", decision="extend",
    past_ceiling="Phone rang.",
)  # fmt: skip


def test_the_log_says_what_is_next_and_fills_the_target(
    log: Log, apprentice: Person, signed_in: SignedIn
) -> None:
    log(heads=2)
    log(heads=1, tag="resistant", days=2)
    page = signed_in(apprentice).get(LIST).text
    assert "3 of 5" in page
    assert "1 of 3" in page
    assert "Next: 2 heads, resistant" in page
    assert "1 h 40 min" in page


def test_practice_beyond_the_target_fills_the_bar_and_is_told_apart(
    log: Log, apprentice: Person, signed_in: SignedIn
) -> None:
    session = log(heads=6)
    client = signed_in(apprentice)
    for path in (LIST, f"{LIST}{session.token}/"):
        page = client.get(path).text
        assert "<dd>5 of 5, reached and 1 beyond</dd>" in page
        assert '<rect class="b1" width="100" height="8"/>' in page
        assert "6 of 5" not in page
    module = session.module_version.module
    assert "reached and 1 beyond" in client.get(f"{LIST}new/?module={module.token}").text


def test_a_met_target_offers_to_ask_for_an_assessment(
    log: Log, apprentice: Person, signed_in: SignedIn
) -> None:
    session = log(heads=5, tag="resistant")
    client = signed_in(apprentice)
    ask = f"/larkmere/assessment/bookings/ask/{session.module_version.module.token}/"
    assert f'action="{ask}"' in client.get(f"{LIST}{session.token}/").text
    assert "See where you stand" in client.get(LIST).text


def test_what_was_taken_back_stays_in_the_list_and_out_of_the_totals(
    log: Log, apprentice: Person, signed_in: SignedIn
) -> None:
    services.take_back_session(session=log(heads=4), apprentice=apprentice)
    log(heads=1, days=2)
    answer = signed_in(apprentice).get(LIST)
    assert answer.context["totals"].sessions == 1
    assert "taken back, does not count" in answer.text


def test_the_log_is_narrowed_by_module_month_and_state(
    log: Log, apprentice: Person, educator: Person, signed_in: SignedIn
) -> None:
    waiting = log(supervisor=educator)
    alone = log(days=70)
    client = signed_in(apprentice)
    month = f"{timezone.localtime(alone.started_at):%Y-%m}"
    assert _found(client, f"?month={month}") == [alone]
    assert _found(client, "?state=waiting") == [waiting]
    assert _found(client, "?state=alone") == [alone]
    assert _found(client, f"?module={alone.module_version.module.token}") == [waiting, alone]
    assert _found(client, "?state=confirmed") == []
    assert _found(client, "?module=nonsense&month=2026-99&page=abc") == [waiting, alone]


def _found(client: Client, query: str) -> list[PracticeSession]:
    return list(client.get(f"{LIST}{query}").context["page"].object_list)


def test_staff_narrow_the_academys_sessions(
    log: Log,
    apprentice: Person,
    educator: Person,
    assessor: Person,
    manager: Person,
    academy: Academy,
    make_member: Callable[..., Person],
    signed_in: SignedIn,
) -> None:
    other = make_member(Role.APPRENTICE, name="Lewis Tarn")
    cohort = people.make_cohort(
        academy=academy, by=manager, name="Plover", starts_on=date(2026, 1, 5)
    )
    people.place_in_cohort(cohort=cohort, person=other, by=manager)
    mine = log(supervisor=educator)
    theirs = log(by=other, supervisor=assessor, days=2, process="permanent", checks=[LATE])
    client = signed_in(educator)
    assert _found(client, "") == [mine, theirs]
    assert _found(client, "?waiting=me") == [mine]
    assert _found(client, f"?cohort={cohort.token}") == [theirs]
    assert _found(client, f"?apprentice={apprentice.token}") == [mine]
    assert _found(client, "?state=past-ceiling") == [theirs]
    assert "past the ceiling" in client.get(LIST).text


def test_an_apprentice_sees_nobody_elses_log(
    log: Log, make_member: Callable[..., Person], signed_in: SignedIn
) -> None:
    session = log()
    client = signed_in(make_member(Role.APPRENTICE))
    assert _found(client, "") == []
    assert "Your log is empty" in client.get(LIST).text
    assert client.get(f"{LIST}{session.token}/").status_code == 404
    assert client.post(f"{LIST}{session.token}/take-back/").status_code == 404


@pytest.mark.parametrize("query", ["", "?waiting=me"])
def test_lists_ask_the_database_no_more_for_forty_sessions_than_for_one(
    log: Log, apprentice: Person, educator: Person, signed_in: SignedIn, query: str
) -> None:
    counts = []
    for more in (1, 39):
        for number in range(more):
            check = replace(LATE, minute=20, decision="rinse", past_ceiling="")
            log(supervisor=educator, days=number + more / 100, checks=[check])
        counts.append(
            [_queries(signed_in(who), f"{LIST}{query}") for who in (apprentice, educator)]
        )
    assert counts[0] == counts[1]


def _queries(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        client.get(address)
    return len(asked)


def test_looking_writes_nothing(
    log: Log, apprentice: Person, educator: Person, signed_in: SignedIn
) -> None:
    session = log(supervisor=educator, process="permanent", checks=[LATE])
    before = (Entry.objects.count(), PracticeSession.objects.values().get(pk=session.pk))
    ways = ["", "new/", f"new/?module={session.module_version.module.token}", "export.csv"]
    ways += [f"{session.token}/{end}" for end in ("", "confirm/", "take-back/")]
    for person in (apprentice, educator):
        client = signed_in(person)
        client.get(LIST)
        with CaptureQueriesContext(connection) as asked:
            for way in ways:
                client.get(f"{LIST}{way}")
        writes = ("INSERT", "UPDATE", "DELETE")
        assert not [q["sql"] for q in asked if q["sql"].startswith(writes)]
    assert before == (Entry.objects.count(), PracticeSession.objects.values().get(pk=session.pk))


def test_a_session_page_tells_its_checks_and_its_history(
    log: Log, apprentice: Person, educator: Person, signed_in: SignedIn
) -> None:
    session = log(
        supervisor=educator,
        zones=["nape"],
        criteria=["V1"],
        process="permanent",
        checks=[LATE],
        went_well="Full brush <b>.",
    )
    services.confirm_session(session=session, supervisor=educator, confirmed=True)
    page = signed_in(apprentice).get(f"{LIST}{session.token}/").text
    for words in (
        "44 min",
        "Nape: translucent.",
        "Extended by 5 min.",
        "Ceiling 45 min, the standard rule",
        "Phone rang.",
        "Full brush &lt;b&gt;.",
        "Tamsin Orle logged 50 min of practice",
        "Maren Tolvey confirmed White-hair coverage",
    ):
        assert words in page
    assert "Take this session back" not in page


def test_the_supervisor_answers_on_the_page(
    log: Log, educator: Person, signed_in: SignedIn
) -> None:
    session = log(supervisor=educator)
    client = signed_in(educator)
    address = f"{LIST}{session.token}/confirm/"
    refused = client.post(address, {"answer": "different", "note": ""})
    assert "Say what was different" in refused.text
    named = client.post(address, {"answer": "different", "note": "Tamsin was away."})
    assert "“Tamsin” may be the name" in named.text
    kept = client.post(address, {"answer": "different", "note": "Another day."})
    assert kept.status_code == 302
    assert not session.confirmation.confirmed
    again = client.post(address, {"answer": "confirm"})
    assert "only once" in again.text


def test_the_supervisor_confirms_in_place_and_several_at_once(
    log: Log, educator: Person, signed_in: SignedIn
) -> None:
    first, second, third = (log(supervisor=educator, days=days) for days in (1, 2, 3))
    client = signed_in(educator)
    row = client.post(
        f"{LIST}{first.token}/confirm/", {"answer": "confirm"}, headers={"HX-Request": "true"}
    )
    assert row.text.strip().startswith("<li>")
    assert "Confirmed." in row.text
    answer = client.post(f"{LIST}confirm/", {"session": [second.token, third.token]}, follow=True)
    assert "Confirmed. 2 sessions." in answer.text
    assert "No session waits for your word" in answer.text
    twice = client.post(f"{LIST}confirm/", {"session": [second.token]}, follow=True)
    assert "Nothing was confirmed." in twice.text
    none = client.post(f"{LIST}confirm/", follow=True)
    assert "Nothing was ticked" in none.text


def test_confirming_in_place_counts_the_title_anew(
    log: Log, educator: Person, signed_in: SignedIn
) -> None:
    sessions = [log(supervisor=educator, days=days) for days in (1, 2)]
    client = signed_in(educator)
    assert "Two sessions wait for your word" in client.get(f"{LIST}?waiting=me").text
    said = []
    for session in sessions:
        row = client.post(
            f"{LIST}{session.token}/confirm/",
            {"answer": "confirm"},
            headers={
                "HX-Request": "true",
                "HX-Current-URL": f"http://testserver{LIST}?waiting=me",
            },
        )
        assert 'id="staff-title" hx-swap-oob="true"' in row.text
        said.append((row.context["mine"], row.context["totals"].sessions, row.text))
    assert [(mine, shown) for mine, shown, _ in said] == [(1, 1), (0, 0)]
    assert "One session waits for your word" in said[0][2]
    assert "No session waits for your word" in said[1][2]


def test_taking_back_asks_first(log: Log, apprentice: Person, signed_in: SignedIn) -> None:
    session = log()
    client = signed_in(apprentice)
    address = f"{LIST}{session.token}/take-back/"
    assert "Take this session back?" in client.get(address).text
    assert client.post(address)["Location"] == f"{LIST}{session.token}/"
    session.refresh_from_db()
    assert session.taken_back_at is not None
    assert "This session stays in the log" in client.post(address).text


def test_the_table_holds_the_chosen_sessions_and_no_formulas(
    log: Log, apprentice: Person, educator: Person, signed_in: SignedIn
) -> None:
    log(supervisor=educator, to_change='=HYPERLINK("x")')
    log(days=70)
    answer = signed_in(apprentice).get(f"{LIST}export.csv?state=waiting")
    lines = answer.content.decode("utf-8-sig").splitlines()
    assert answer["Content-Disposition"].startswith('attachment; filename="practice-')
    assert len(lines) == 2
    assert "'=HYPERLINK" in lines[1]
    assert "1 head" in lines[1]


def test_names_are_found_by_whole_words_with_a_capital(
    academy: Academy, apprentice: Person, educator: Person, assessor: Person
) -> None:
    def found(text: str) -> list[str]:
        return names_in([text], academy, writer=apprentice)

    assert found("Okafor-Reed and Tolvey's comb, then Reed") == ["Okafor-Reed", "Reed"]
    assert found("Tolvey told Tolvey") == ["Tolvey"]
    assert found("dilys, Marenka, Orle") == []


def statuses(client: Client, ways: list[tuple[str, str]]) -> list[int]:
    """What each way answers, posts with nothing in them."""
    return [
        (client.get if method == "get" else client.post)(f"{LIST}{way}").status_code
        for method, way in ways
    ]


def test_who_may_go_where(
    log: Log,
    apprentice: Person,
    educator: Person,
    assessor: Person,
    verifier: Person,
    manager: Person,
    other_academy: Academy,
    make_member: Callable[..., Person],
    signed_in: SignedIn,
) -> None:
    token = log(supervisor=educator).token
    ways = [
        ("get", ""),
        ("get", "export.csv"),
        ("get", f"{token}/"),
        ("get", "new/"),
        ("get", f"{token}/take-back/"),
        ("get", f"{token}/confirm/"),
        ("post", "confirm/"),
    ]
    seen: dict[str, Any] = {
        person.name: statuses(signed_in(person), ways)
        for person in (apprentice, educator, assessor, verifier, manager)
    }
    assert seen == {
        apprentice.name: [200, 200, 200, 200, 200, 403, 403],
        educator.name: [200, 200, 200, 403, 403, 200, 302],
        assessor.name: [200, 200, 200, 403, 403, 403, 302],
        verifier.name: [200, 200, 200, 403, 403, 403, 403],
        manager.name: [200, 200, 200, 403, 403, 403, 403],
    }
    assert statuses(Client(), ways) == [302] * len(ways)
    for role in Role:
        stranger = make_member(role, academy=other_academy)
        assert statuses(signed_in(stranger), ways) == [404] * len(ways)
