"""The counts of the demo academy. Source: trade.md 7 (academy rule, invented)."""

from __future__ import annotations

from collections import Counter

from django.db.models import Count
from django.utils import timezone

from academy.assessment.models import Assessment, SamplePlan, SignOff, SignOffAssessment
from academy.audit import triggers
from academy.audit.verifying import verify_chain
from academy.awards.models import Certificate
from academy.awards.queries import state_of
from academy.curriculum.models import ModuleVersion, ProductLabel, RuleSet
from academy.exercises.models import AnswerSheet
from academy.people.models import Academy, Invitation, Role
from academy.practice.models import PracticeSession, StrandCheck

SIGNED = {
    "Gwenda": "hygiene quarters slices weaves patterns foil-folding backcombed-weave",
    "Rafe": "hygiene consultation records quarters regrowth strand-check white-coverage",
    "Junia": "hygiene quarters slices weaves patterns foil-folding backcombed-weave",
    "Alban": "hygiene quarters",
    "Beatriz": "hygiene consultation",
    "Kofi": "hygiene",
    "Tamsin": "hygiene consultation records quarters regrowth strand-check",
    "Callum": "hygiene consultation quarters regrowth strand-check",
    "Nadia": "hygiene consultation quarters regrowth strand-check",
    "Priyanka": "hygiene consultation quarters regrowth strand-check slices foil-folding",
    "Eero": "hygiene quarters slices weaves patterns patterns foil-folding backcombed-weave",
    "Wren": "hygiene quarters slices weaves patterns foil-folding backcombed-weave "
    "consultation records regrowth strand-check white-coverage",
    "Lewis": "hygiene consultation quarters regrowth",
    "Otis": "hygiene quarters slices",
    "Mei": "hygiene quarters",
    "Ravi": "hygiene quarters",
    "Saoirse": "hygiene",
    "Hanne": "hygiene",
}


def submitted(academy: Academy) -> Counter[str]:
    rows = Assessment.objects.filter(academy=academy).counting()
    return Counter(rows.values_list("assessor__name", flat=True))


def test_eighteen_apprentices_learn_in_three_cohorts(demo_academy: Academy) -> None:
    held = demo_academy.memberships.values_list("role").annotate(Count("pk")).order_by()
    assert dict(held) == {
        Role.APPRENTICE: 18,
        Role.ASSESSOR: 3,
        Role.EDUCATOR: 2,
        Role.VERIFIER: 1,
        Role.MANAGER: 1,
    }
    places = demo_academy.cohorts.values_list("name").annotate(Count("places")).order_by()
    assert dict(places) == {"Bittern": 6, "Heron": 6, "Plover": 6}


def test_everybody_holds_the_modules_of_their_story(demo_academy: Academy) -> None:
    rows = SignOff.objects.filter(academy=demo_academy).values_list(
        "apprentice__name", "module_version__module__key"
    )
    signed: dict[str, list[str]] = {name: [] for name in SIGNED}
    for name, module in rows:
        signed[name.split()[0]].append(module)
    assert {name: sorted(modules) for name, modules in signed.items()} == {
        name: sorted(modules.split()) for name, modules in SIGNED.items()
    }


def test_eighty_two_sign_offs_lie_in_the_three_cohorts(demo_academy: Academy) -> None:
    rows = SignOff.objects.filter(academy=demo_academy)
    cohorts = Counter(rows.values_list("apprentice__cohort_places__cohort__name", flat=True))
    assert cohorts == {"Bittern": 26, "Heron": 43, "Plover": 13}


def test_187_assessments_are_169_first_and_18_second_marks(demo_academy: Academy) -> None:
    """One more was withdrawn and two are marks of a reference head: they count nowhere."""
    rows = Assessment.objects.filter(academy=demo_academy, state="submitted")
    kinds = Counter(rows.values_list("kind", flat=True))
    assert kinds == {"first": 170, "second": 18, "standardisation": 2}
    assert rows.counting().count() == 187
    assert SignOffAssessment.objects.count() == 152
    assert SignOffAssessment.objects.values("assessment").distinct().count() == 152


def test_the_three_assessors_share_the_work_as_told(demo_academy: Academy) -> None:
    assert submitted(demo_academy) == {
        "Dilys Okafor-Reed": 91,
        "Bram Halvorsen": 82,
        "Yusra Lindqvist": 14,
    }


def test_second_marks_link_all_three_assessors(demo_academy: Academy) -> None:
    seconds = Assessment.objects.filter(academy=demo_academy, kind="second")
    pairs = {
        frozenset(pair)
        for pair in seconds.values_list("assessor__name", "second_of__assessor__name")
    }
    assert len(pairs) == 3


def test_seventeen_second_marks_come_from_the_sample_and_one_from_the_line(
    demo_academy: Academy,
) -> None:
    firsts = Assessment.objects.filter(academy=demo_academy, second_marks__isnull=False)
    causes = Counter(str(cause) for cause in firsts.values_list("outcome__causes", flat=True))
    assert causes == {"['sample']": 17, "['near_line']": 1}


def test_the_samples_are_as_large_as_their_promise_asks(demo_academy: Academy) -> None:
    found = {}
    for plan in SamplePlan.objects.filter(academy=demo_academy):
        why = Counter(plan.decisions.values_list("why", flat=True))
        closed = plan.closed_at is not None
        found[plan.name] = (plan.decisions.count(), why["random"], why["coverage"], closed)
    assert found == {
        "Bittern": (26, 16, 0, True),
        "Heron": (22, 14, 0, True),
        "Last quarter": (34, 18, 0, False),
    }


def test_half_of_the_last_quarter_is_looked_at(demo_academy: Academy) -> None:
    plan = SamplePlan.objects.get(academy=demo_academy, name="Last quarter")
    looked = plan.decisions.filter(sign_off__verifications__isnull=False).distinct()
    assert Counter(row.why for row in looked) == {
        "new_assessor": 5,
        "replacement": 1,
        "random": 9,
    }
    wrens = looked.filter(why="random", sign_off__apprentice__name__startswith="Wren")
    assert wrens.count() == 5


def test_seven_certificates_stand_in_their_states(demo_academy: Academy) -> None:
    rows = Certificate.objects.filter(academy=demo_academy).prefetch_related("events")
    today = timezone.localdate()
    found = {}
    for row in rows:
        state = state_of(row)
        days = (state.on - today).days
        found[row.holder_name.split()[0], row.award_title, state.state.value] = days
    assert Counter(state for *_, state in found) == {"valid": 4, "lapsed": 2, "withdrawn": 1}
    assert found["Gwenda", "Foundation foils", "valid"] == 20
    assert found["Rafe", "White-hair coverage", "lapsed"] == -84
    assert found["Junia", "Foundation foils", "lapsed"] == -70
    assert found["Eero", "Foundation foils", "withdrawn"] == -12


def test_practice_fills_about_four_hundred_sessions(demo_academy: Academy) -> None:
    sessions = PracticeSession.objects.filter(academy=demo_academy)
    assert 380 <= sessions.count() <= 420
    assert 90 <= StrandCheck.objects.filter(session__in=sessions).count() <= 120
    waiting = sessions.filter(supervisor__isnull=False, confirmation__isnull=True)
    assert 5 <= waiting.count() <= 20
    assert sessions.filter(confirmation__confirmed=False).count() == 1


def test_sixteen_of_24_answer_sheets_are_passed(demo_academy: Academy) -> None:
    sheets = AnswerSheet.objects.filter(academy=demo_academy)
    assert sheets.count() == 24
    passed = sheets.filter(passed=True)
    assert Counter(passed.values_list("paper__module_version__module__key", flat=True)) == {
        "regrowth": 7,
        "strand-check": 6,
        "white-coverage": 3,
    }


def test_rules_labels_and_a_draft_stand_as_told(demo_academy: Academy) -> None:
    rules = RuleSet.objects.filter(academy=demo_academy).order_by("number")
    assert [row.rules for row in rules] == [{"start_lead": "15"}, {}]
    assert (timezone.now() - rules[1].made_at).days == 29
    label = ProductLabel.objects.get(academy=demo_academy, name="Training cream B")
    assert (label.fields["ratios"], label.fields["ceiling"]) == (["1.5"], "50")
    draft = ModuleVersion.objects.get(academy=demo_academy, state="draft")
    assert (draft.module.key, draft.number) == ("weaves", 2)
    assert str(draft.made_by) == "Josiah Penhale"


def test_one_invitation_is_open_and_one_has_run_out(demo_academy: Academy) -> None:
    states = Counter(row.state for row in Invitation.objects.filter(academy=demo_academy))
    assert (states["open"], states["expired"]) == (1, 1)


def test_the_record_of_it_all_holds(demo_academy: Academy) -> None:
    verified = verify_chain(demo_academy.pk)
    assert verified.broken is None
    assert verified.checked > 1500
    assert triggers.missing() == []
