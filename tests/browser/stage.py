"""Behind the scenes of a browser test: makes rows through the services, in a process of its own.

Reads one request a line, `{"do": "academy", "slug": "larkmere"}`, and answers with one line.
"""

# Django can only be imported once it has its settings.
# ruff: noqa: PLC0415
from __future__ import annotations

import json
import sys
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import django

from tests.browser.staffed import STAFFED

if TYPE_CHECKING:
    from tests.site.world import Staffed


def academy(slug: str, days_ago: int = 0) -> dict[str, Any]:
    """An academy with its people and the award of two short modules; who they are."""
    import time_machine
    from django.utils import timezone

    from tests.site.factories import PASSWORD
    from tests.site.world import staff, teach

    with time_machine.travel(timezone.now() - timedelta(days=days_ago)):
        STAFFED[slug] = staffed = staff(slug, f"{slug.capitalize()} Academy")
        teach(staffed)
    return {
        "password": PASSWORD,
        "people": {role.value: person.email for role, person in staffed.people.items()},
        "names": {role.value: person.name for role, person in staffed.people.items()},
    }


def _with_apprentice(slug: str, email: str) -> Staffed:
    from academy.people.models import Person, Role

    staffed = STAFFED[slug]
    person = Person.objects.get(email=email) if email else staffed.apprentice
    return replace(staffed, people={**staffed.people, Role.APPRENTICE: person})


def _version(slug: str, key: str) -> Any:
    from academy.curriculum.models import ModuleVersion

    return ModuleVersion.objects.select_related("module", "academy").get(
        academy__slug=slug, module__key=key, state=ModuleVersion.State.PUBLISHED
    )


def passed(slug: str, key: str, email: str = "") -> dict[str, Any]:
    """The apprentice has passed the module: signed off and upheld."""
    from tests.site.world import pass_module

    pass_module(_with_apprentice(slug, email), _version(slug, key))
    return {}


def practised(slug: str, key: str, email: str = "") -> dict[str, Any]:
    """The apprentice has logged what the module's target asks for."""
    from tests.site.world import practise

    practise(_with_apprentice(slug, email), _version(slug, key))
    return {}


def paper(slug: str, title: str, family: str = "", level: str = "") -> dict[str, Any]:
    """A paper of one question for the cohort; its token."""
    from academy.craft.exercise.engine import Level
    from academy.exercises.services import PartWanted
    from tests.site.world import set_a_paper

    parts = {"parts": [PartWanted(family, Level(level), 1)]} if family else {}
    return {"token": set_a_paper(STAFFED[slug], title=title, **parts).token}


def trial(slug: str, title: str, **wanted: Any) -> dict[str, Any]:
    """A paper that asks for every kind of answer, and then for an order; its token."""
    from academy.craft.exercise.engine import Level
    from academy.exercises.services import PartWanted
    from tests.site.world import set_a_paper
    from tests.trial import Trial

    parts = [PartWanted(Trial.key, level, 1) for level in (Level.WORKING, Level.FIRST)]
    return {"token": set_a_paper(STAFFED[slug], title=title, parts=parts, **wanted).token}


def kept(slug: str, title: str) -> dict[str, str]:
    """What the site has of the answers to a paper, by the name of the field."""
    from academy.exercises.models import Answer

    rows = Answer.objects.filter(
        sheet__paper__academy__slug=slug, sheet__paper__title=title
    ).select_related("question")
    return {f"q{row.question.position}-{row.field}": row.written for row in rows}


def elsewhere(slug: str, title: str, field: str, text: str) -> dict[str, Any]:
    """The apprentice answers one field of question 1 on another device, now."""
    from academy.exercises.models import AnswerSheet
    from academy.exercises.services import keep_answers

    sheet = AnswerSheet.objects.for_sheet().get(
        paper__academy__slug=slug, paper__title=title, submitted_at__isnull=True
    )
    keep_answers(sheet=sheet, by=sheet.apprentice, answers={(1, field): text})
    return {}


def handed_in(slug: str, title: str) -> dict[str, Any]:
    """The apprentice hands the open sheet in on another device; its token."""
    from academy.exercises.models import AnswerSheet
    from academy.exercises.services import hand_in

    sheet = AnswerSheet.objects.for_sheet().get(
        paper__academy__slug=slug, paper__title=title, submitted_at__isnull=True
    )
    return {"token": hand_in(sheet=sheet, by=sheet.apprentice).token}


def head(slug: str, key: str) -> dict[str, Any]:
    """A draft in which everything is marked; its token, that of a submitted head, of a sign-off."""
    from tests.site.world import mark_head

    staffed = STAFFED[slug]
    draft = mark_head(staffed, _version(slug, key))
    submitted = staffed.apprentice.assessments.filter(submitted_at__isnull=False).first()
    signed = staffed.apprentice.sign_offs.first()
    return {
        "token": draft.token,
        "submitted": submitted and submitted.token,
        "signoff": signed and signed.token,
    }


def chair(slug: str, key: str, criteria: int = 2) -> dict[str, Any]:
    """An empty draft of a module of its own, its crown and nape judged; its token."""
    from decimal import Decimal

    from academy.assessment.services.scoring import start_assessment
    from academy.craft.head.zones import Zone
    from academy.curriculum.content import CriterionContent, Scope
    from tests.site.making import LEVELS, module_content, publish_content

    staffed = STAFFED[slug]
    content = module_content(key)
    evenness = [
        CriterionContent(f"A{n}", f"evenness {n}", Scope.ZONES, LEVELS)
        for n in range(2, 2 + criteria)
    ]
    content = replace(
        content,
        criteria=(*content.criteria, *evenness),
        judged_zones=(Zone.CROWN, Zone.NAPE),
        time_minutes=Decimal(30),
    )
    version = publish_content(staffed.academy, staffed.educator, content)
    head = start_assessment(
        academy=staffed.academy,
        assessor=staffed.assessor,
        apprentice=staffed.apprentice,
        version=version,
    )
    return {"token": head.token}


def standing(head: str) -> dict[str, Any]:
    """What the site has of a draft: levels by place, and the rest; and how often it was touched."""
    from academy.assessment.models import Assessment

    draft = Assessment.objects.get(token=head)
    return {
        "levels": {f"{mark.criterion.code}-{mark.zone}": mark.level for mark in draft.marks.all()},
        "out": {row.zone: row.reason for row in draft.zones_left_out.all()},
        "overall": draft.overall,
        "note": draft.note,
        "minutes": draft.minutes_used,
        "touches": draft.revision,
        "state": draft.state,
    }


def level_elsewhere(head: str, place: str, level: int) -> dict[str, Any]:
    """The assessor gives a level on another device, now."""
    from academy.assessment.models import Assessment
    from academy.assessment.services.scoring import set_level

    draft = Assessment.objects.get(token=head)
    code, _, zone = place.rpartition("-")
    criterion = draft.module_version.criteria.get(code=code)
    set_level(assessment=draft, by=draft.assessor, criterion=criterion, zone=zone, level=level)
    return {}


def one_mark(slug: str, head: str) -> dict[str, Any]:
    """Only one mark is on a head, in the middle of the occipital."""
    from decimal import Decimal

    from academy.assessment.models import Assessment
    from academy.assessment.services import faults
    from academy.craft.head.sheet import zone_centre
    from academy.craft.head.zones import Zone

    draft, at = Assessment.objects.get(token=head), zone_centre(Zone.OCCIPITAL)
    by = STAFFED[slug].assessor
    for mark in draft.fault_marks.all():
        faults.remove_fault(mark=mark, by=by)
    faults.place_fault(
        assessment=draft,
        by=by,
        azimuth_deg=Decimal(str(at.azimuth_deg)),
        elevation_deg=Decimal(str(at.elevation_deg)),
        fault=draft.module_version.faults.get(position=1),
    )
    return {}


def unmark_elsewhere(head: str, number: int) -> dict[str, Any]:
    """The assessor takes a mark off on another device, now."""
    from academy.assessment.models import Assessment
    from academy.assessment.services.faults import remove_fault

    draft = Assessment.objects.get(token=head)
    remove_fault(mark=draft.fault_marks.get(number=number), by=draft.assessor)
    return {}


def marks(head: str) -> list[dict[str, Any]]:
    """The marks that the site has of a head, by number."""
    from academy.assessment.models import FaultMark

    return _placed(FaultMark.objects.filter(assessment__token=head))


def _placed(faults: Any) -> list[dict[str, Any]]:
    return [
        {
            "number": mark.number,
            "zone": mark.zone,
            "note": mark.note,
            "azimuth": float(mark.azimuth_deg),
            "elevation": float(mark.elevation_deg),
        }
        for mark in faults
    ]


def reference(slug: str, key: str) -> dict[str, Any]:
    """A reference head of a module, begun by the educator; its token."""
    from academy.assessment.services.standardising import write_reference

    staffed = STAFFED[slug]
    row = write_reference(
        academy=staffed.academy, by=staffed.educator, version=_version(slug, key), name="Thin"
    )
    return {"token": row.token}


def reference_faults(token: str) -> list[dict[str, Any]]:
    """The faults that the site has of a reference head, by number."""
    from academy.assessment.models import ReferenceFault

    return _placed(ReferenceFault.objects.filter(reference__token=token))


def tokens(slug: str, key: str, email: str = "") -> dict[str, Any]:
    """The tokens of a person and a module, for addresses."""
    staffed = _with_apprentice(slug, email)
    return {"person": staffed.apprentice.token, "module": _version(slug, key).module.token}


def questions(slug: str, title: str, email: str, attempt: int = 1) -> list[dict[str, Any]]:
    """What the apprentice was asked: for each field the right figure, and the named slips."""
    from academy.exercises.models import Question

    rows = Question.objects.filter(
        paper__academy__slug=slug, paper__title=title, attempt=attempt, apprentice__email=email
    ).order_by("position")
    return [
        {
            "fields": [field.key for field in row.question.fields],
            "right": {field.key: str(row.question.key[field.key]) for field in row.question.fields},
            "slips": [
                {"field": slip.field, "value": str(slip.value), "sentence": slip.sentence}
                for slip in row.question.mistakes
            ],
        }
        for row in rows
    ]


def sessions(slug: str) -> int:
    """How many practice sessions were logged in the academy."""
    from academy.practice.models import PracticeSession

    return PracticeSession.objects.filter(academy__slug=slug).count()


def record(slug: str) -> dict[str, Any]:
    """How many entries the academy's record has, and the first that does not hold, if any."""
    from academy.audit.verifying import verify_chain

    result = verify_chain(STAFFED[slug].academy.pk)
    return {"checked": result.checked, "broken": result.broken and result.broken.sequence}


DEEDS = {
    deed.__name__: deed
    for deed in (
        academy,
        passed,
        practised,
        paper,
        trial,
        kept,
        elsewhere,
        handed_in,
        head,
        chair,
        standing,
        level_elsewhere,
        one_mark,
        unmark_elsewhere,
        marks,
        reference,
        reference_faults,
        tokens,
        questions,
        sessions,
        record,
    )
}


def main() -> None:
    django.setup()
    from academy.audit.keys import make_key
    from tests.browser.decisions import DECISIONS

    make_key()  # as `manage.py prepare` does: certificates are printed with a signed root
    deeds = {**DEEDS, **DECISIONS}
    for line in sys.stdin:
        request = json.loads(line)
        answer = deeds[request.pop("do")](**request)
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
