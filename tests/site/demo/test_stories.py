"""Each story of the demo academy can be read from its rows. Source: trade.md 7 (invented)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.again import after_not_yet
from academy.assessment.facts import heads_of_many
from academy.assessment.marking import marking_of
from academy.assessment.models import ActionPlan, Appeal, Assessment, Booking, Verification
from academy.assessment.queries import places, ready_to_sign
from academy.assessment.results import Result, Standing
from academy.craft.judging.marking import missing
from academy.craft.judging.reassessment import WholeBecause
from academy.craft.measure import round_half_up
from academy.demo import story
from academy.demo.acts import mistaken
from academy.exercises.models import AnswerSheet, Paper
from academy.people.models import Academy, Guardian, Person
from academy.practice.models import PracticeSession, Task
from academy.practice.task_states import TaskState, rows_of

if TYPE_CHECKING:
    from django.test import Client

Find = Callable[[str], Person]


def standing(academy: Academy, person: Person, module: str) -> Standing:
    return next(
        place.standing
        for place in places(academy, [person.pk]).values()
        if place.module == academy.modules.get(key=module).pk
    )


def heads(person: Person, module: str) -> list[Assessment]:
    rows = Assessment.objects.filter(
        apprentice=person, module_version__module__key=module, state="submitted", kind="first"
    )
    return list(rows.order_by("started_at"))


def mark_of(head: Assessment) -> Decimal:
    assert head.outcome.head_mark is not None
    return round_half_up(head.outcome.head_mark)


def days_ago(moment: object) -> int:
    return (timezone.localdate() - timezone.localdate(moment)).days  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("key", "told"),
    [(key, told) for key, told in story.told().items() if told.mark is not None],
    ids=lambda value: "-".join(map(str, value)) if isinstance(value, tuple) else "",
)
def test_the_levels_of_a_story_come_to_its_mark(
    key: tuple[str, str, int], told: story.Told, demo_academy: Academy
) -> None:
    email = story.people()[key[0]]["email"]
    rows = heads(Person.objects.get(email=email), key[1])
    head = next(row for row in rows if days_ago(row.started_at) == -key[2])
    assert mark_of(head) == told.mark
    if told.second is not None:
        assert mark_of(head.second_marks.get()) == told.second.mark


def test_tamsin_waits_in_dilys_list(demo_academy: Academy, person: Find) -> None:
    ready = ready_to_sign(demo_academy, person("Dilys"))
    assert [(row.person.name, row.version.module.key) for row in ready] == [
        ("Tamsin Orle", "white-coverage")
    ]
    sheet = AnswerSheet.objects.get(
        apprentice=person("Tamsin"), paper__module_version__module__key="white-coverage"
    )
    assert sheet.marks is not None
    assert sheet.possible is not None
    assert round_half_up(100 * sheet.marks / sheet.possible) == 92


def test_callum_is_stuck_on_the_nape(demo_academy: Academy, person: Find) -> None:
    callum = person("Callum")
    rows = heads(callum, "white-coverage")
    nape = [row.marks.get(criterion__code="V1", zone="nape").level for row in rows]
    assert nape == [1, 1, 2, 1]
    assert [row.outcome.by_marks for row in rows].count("not_yet") == 3
    assert {row.assessor.name.split()[0] for row in rows} == {"Dilys", "Yusra"}
    plan = ActionPlan.objects.get(apprentice=callum)
    assert plan.due_on == timezone.localdate() + timedelta(days=9)
    assert plan.whole_module
    second, third = rows[1], rows[2]
    assert second.reassessment.criteria == ["V1", "V5"]
    assert second.outcome.head_mark is None
    assert {reason["criterion"] for reason in second.outcome.reasons} == {"V1", "V5"}
    assert third.reassessment.whole_because == ["must"]
    next_head = Booking.objects.get(apprentice=callum, state="booked")
    assert next_head.assessor == person("Bram")


def test_priyankas_pair_waits_for_a_ruling(demo_academy: Academy, person: Find) -> None:
    priyanka = person("Priyanka")
    first = heads(priyanka, "lightener")[0]
    second = first.second_marks.get()
    assert (first.outcome.by_marks, second.outcome.by_marks) == ("competent", "not_yet")
    assert first.outcome.causes == ["sample"]
    found = heads_of_many(demo_academy, [priyanka.pk], [first.module_version_id])
    assert [head.result for rows in found.values() for head in rows] == [Result.RULING]


def test_eeros_overturned_sign_off_is_replaced(demo_academy: Academy, person: Find) -> None:
    eero = person("Eero")
    overturned = Verification.objects.get(result="overturned")
    assert (overturned.sign_off.apprentice, days_ago(overturned.at)) == (eero, 12)
    old, new = eero.certificates.order_by("number")
    assert new.replaces == old
    assert (new.issued_on - timezone.localdate()).days == -3


def test_nadia_waits_for_a_second_assessor(demo_academy: Academy, person: Find) -> None:
    assert standing(demo_academy, person("Nadia"), "white-coverage") is Standing.SECOND_LOOK
    assert days_ago(heads(person("Nadia"), "white-coverage")[0].started_at) == 2


def test_lewis_may_be_assessed_again(demo_academy: Academy, person: Find) -> None:
    lewis = person("Lewis")
    head = heads(lewis, "strand-check")[0]
    assert days_ago(head.started_at) == 8
    assert head.marks.get(criterion__code="N2").level == 1
    practised = PracticeSession.objects.filter(
        apprentice=lewis, module_version=head.module_version, started_at__gt=head.started_at
    )
    assert practised.count() >= 2
    assert Booking.objects.get(apprentice=lewis, state="asked").module_version == (
        head.module_version
    )


def test_after_three_not_yet_callum_goes_on_with_the_whole_module_and_somebody_else(
    demo_academy: Academy, person: Find
) -> None:
    callum = person("Callum")
    version = heads(callum, "white-coverage")[0].module_version
    after = after_not_yet(demo_academy, callum, version)
    assert after is not None
    assert after.count == 3
    assert after.again.whole_because == (WholeBecause.ASKED,)
    assert after.barred_words == "Dilys Okafor-Reed and Yusra Lindqvist"
    assert after.plan is not None
    assert after.practice_met
    assert after.earliest == timezone.localdate() - timedelta(days=5)
    task = rows_of(Task.objects.filter(apprentice=callum).for_list())
    assert [(row.done, row.state) for row in task] == [(2, TaskState.OPEN)]


def test_mei_was_judged_whole_each_time_at_josiahs_wish(
    demo_academy: Academy, person: Find
) -> None:
    first, *later = heads(person("Mei"), "slices")
    assert not hasattr(first, "reassessment")
    assert [row.reassessment.whole_because for row in later] == [["asked"], ["asked"]]
    assert ActionPlan.objects.get(apprentice=person("Mei")).closing.came_of


def test_lewis_may_be_assessed_again_since_yesterday(demo_academy: Academy, person: Find) -> None:
    lewis = person("Lewis")
    version = heads(lewis, "strand-check")[-1].module_version
    after = after_not_yet(demo_academy, lewis, version)
    assert after is not None
    assert after.earliest == timezone.localdate() - timedelta(days=1)
    assert after.open_now


def test_saoirse_was_judged_whole_after_the_stop(demo_academy: Academy, person: Find) -> None:
    second = heads(person("Saoirse"), "hygiene")[1]
    assert second.reassessment.whole_because == ["stop"]


def test_meis_second_mark_agreed(demo_academy: Academy, person: Find) -> None:
    head = heads(person("Mei"), "slices")[1]
    assert head.outcome.causes == ["near_line"]
    assert head.second_marks.get().outcome.by_marks == head.outcome.by_marks == "not_yet"


def test_otis_bleeds_lie_on_the_right_side(demo_academy: Academy, person: Find) -> None:
    rows = heads(person("Otis"), "foil-folding")
    assert [row.outcome.by_marks for row in rows] == ["not_yet", "not_yet"]
    zones = {mark.zone for row in rows for mark in row.fault_marks.filter(common="bleed")}
    assert zones == {"side_right"}


def test_saoirse_was_stopped_and_passed_later(demo_academy: Academy, person: Find) -> None:
    first, second = heads(person("Saoirse"), "hygiene")
    assert first.stop_event.event == "no-gloves"
    assert first.outcome.head_mark is None
    assert (second.outcome.by_marks, days_ago(second.started_at)) == ("competent", 5)


def test_ravi_has_not_practised_for_24_days(demo_academy: Academy, person: Find) -> None:
    last = PracticeSession.objects.filter(apprentice=person("Ravi")).latest("started_at")
    assert days_ago(last.started_at) == 24


def test_hannes_late_session_is_one_row(demo_academy: Academy, person: Find) -> None:
    hanne = person("Hanne")
    assert Guardian.objects.filter(person=hanne).count() == 1
    late = [
        row
        for row in PracticeSession.objects.filter(apprentice=hanne)
        if days_ago(row.started_at) - days_ago(row.logged_at) == 3
    ]
    assert len(late) == 1


def test_dilys_open_head_misses_seven_levels(demo_academy: Academy, person: Find) -> None:
    draft = Assessment.objects.for_scoring().get(academy=demo_academy, state="draft")
    assert draft.assessor == person("Dilys")
    assert len(missing(marking_of(draft))) == 7
    assert draft.overall is None


def test_one_action_of_the_verifier_is_open(demo_academy: Academy, person: Find) -> None:
    asked = Verification.objects.filter(result="action_needed")
    open_ones = [row for row in asked if row.sign_off.verifications.first() == row]
    assert [row.sign_off.assessor for row in open_ones] == [person("Yusra")]
    assert open_ones[0].due_on is not None
    assert open_ones[0].due_on > timezone.localdate()


def test_ines_had_no_part_in_what_she_verified(demo_academy: Academy, person: Find) -> None:
    assert not Assessment.objects.filter(assessor=person("Ines")).exists()


def test_somebody_can_ask_to_be_assessed_today(demo_academy: Academy, person: Find) -> None:
    assert standing(demo_academy, person("Hanne"), "quarters") is Standing.READY
    assert not Booking.objects.filter(apprentice=person("Hanne")).exclude(state="done").exists()


def test_one_paper_is_open_for_everybody_in_plover(demo_academy: Academy) -> None:
    fresh = Paper.objects.filter(
        cohort__name="Plover", due_on__gt=timezone.localdate(), sheets__isnull=True
    )
    assert [paper.title for paper in fresh] == ["White hair, the whole plan"]
    assert fresh[0].questions.values("apprentice").distinct().count() == 6


def test_old_papers_keep_the_earlier_lead(demo_academy: Academy) -> None:
    leads = {}
    for paper in Paper.objects.filter(title__contains="hite").select_related("rule_set"):
        leads[paper.cohort.name, paper.title] = {
            question.question.parameters["start_lead"]
            for question in paper.questions.filter(family="cover-white-hair")
        }
    assert leads["Heron", "Covering white hair"] == {Decimal(15)}
    assert leads["Plover", "White hair, the whole plan"] == {Decimal(10)}


def test_saoirses_appeal_waits_for_a_second_look(
    demo_academy: Academy, person: Find, signed_in: Callable[[Person], Client]
) -> None:
    row = Appeal.objects.for_list().get(academy=demo_academy)
    first = heads(person("Saoirse"), "hygiene")[0]
    assert (row.apprentice, row.assessment) == (person("Saoirse"), first)
    assert (days_ago(row.at), row.state) == (3, Appeal.State.LOOK)
    assert Assessment.objects.for_result().get(pk=first.pk).shown == "second"
    # What she holds since stays hers.
    assert standing(demo_academy, person("Saoirse"), "hygiene") is Standing.VERIFY
    home = f"/{demo_academy.slug}/"
    page = signed_in(person("Saoirse")).get(home).content.decode()
    assert "Your appeal: answer by" in page
    page = signed_in(person("Ines")).get(home).content.decode()
    assert "second look to be given" in page


def test_ravis_head_was_submitted_by_mistake_taken_back_and_begun_again(
    demo_academy: Academy, person: Find, signed_in: Callable[[Person], Client]
) -> None:
    wrong, right = heads(person("Ravi"), "slices")
    assert wrong.withdrawal.reason == mistaken.REASON
    assert wrong.submitted_at is not None
    assert wrong.withdrawal.at - wrong.submitted_at == timedelta(minutes=6)
    assert right.again_of == wrong
    assert (wrong.outcome.by_marks, right.outcome.by_marks) == ("not_yet", "competent")
    assert list(Assessment.objects.filter(pk__in=[wrong.pk, right.pk]).counting()) == [right]
    at = f"/{demo_academy.slug}/assessment/results/{wrong.token}/"
    page = signed_in(person("Yusra")).get(at).content.decode()
    assert mistaken.REASON in page
