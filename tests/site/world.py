"""A small academy in which one row of every kind stands, made through the services.

`build` is what the tests of the whole site walk through: every address of an academy can be
opened with one of its tokens.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from academy.assessment.boxes import Boxes
from academy.assessment.models import Assessment, Photo, SignOff
from academy.assessment.services import (
    booking,
    faults,
    photos,
    printing,
    ruling,
    sampling,
    scoring,
    second as seconds,
    signing,
    standardising,
    submitting,
)
from academy.assessment.services.appealing import appeal
from academy.assessment.services.plans import write_action_plan
from academy.awards.services import issue_certificate
from academy.craft.exercise.engine import Level
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    CriterionContent,
    FaultContent,
    ModuleContent,
    PracticeUnit,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
)
from academy.curriculum.models import Award, Module, ModuleVersion
from academy.curriculum.services import (
    enter_label,
    load_modules,
    make_award,
    make_rule_set,
    start_draft,
)
from academy.exercises import services as exercises
from academy.exercises.drawing import PartWanted
from academy.exercises.services.wanted import Wanted as PaperWanted
from academy.people import services as people
from academy.people.addresses import keep_address
from academy.people.models import Academy, ClosedDay, Cohort, Membership, Person, Role
from academy.practice.services import (
    Sitting,
    Wanted,
    confirm_session,
    log_session,
    set_tasks,
)
from academy.practice.targets import Done
from academy.reports.models import EvidencePack
from academy.reports.tasks import build_pack
from academy.web.pdf import PdfError, render_pdf
from academy.web.tokens import new_token
from tests.conftest import missing
from tests.site.factories import AcademyFactory, MembershipFactory, PersonFactory

if TYPE_CHECKING:
    from academy.assessment.models import ReferenceHead
    from academy.awards.models import Certificate
    from academy.exercises.models import Paper

SEED = 51907734
TERM = date(2026, 1, 5)
NAMES = {
    Role.APPRENTICE: "Tamsin Orle",
    Role.ASSESSOR: "Dilys Okafor-Reed",
    Role.EDUCATOR: "Maren Tolvey",
    Role.VERIFIER: "Ines Carradine",
    Role.MANAGER: "Odile Farrant",
}
WHOLE = Boxes(
    seen_zone="occipital",
    seen_what="Foil 3 sits a finger lower than foil 2.",
    against_criterion="S1",
    against_level=3,
    why="The comb was lifted before the foil lay flat.",
    next_action="Lay panels with the comb held down",
    next_number=4,
    next_on=date(2027, 1, 8),
)


@dataclass(frozen=True)
class Staffed:
    """An academy with one person in each role and a cohort for its apprentice."""

    academy: Academy
    people: dict[Role, Person]
    cohort: Cohort

    @property
    def apprentice(self) -> Person:
        return self.people[Role.APPRENTICE]

    @property
    def assessor(self) -> Person:
        return self.people[Role.ASSESSOR]

    @property
    def educator(self) -> Person:
        return self.people[Role.EDUCATOR]

    @property
    def verifier(self) -> Person:
        return self.people[Role.VERIFIER]

    @property
    def manager(self) -> Person:
        return self.people[Role.MANAGER]


@dataclass(frozen=True)
class World(Staffed):
    """The academy whole; `tokens` holds, by kind, the token of one row."""

    colleague: Person
    tokens: dict[str, str]
    version: ModuleVersion


def staff(slug: str, name: str, **names: str) -> Staffed:
    """One person in each role, by the name given or the usual one, and a cohort."""
    academy = AcademyFactory(slug=slug, name=name)
    held: dict[Role, Person] = {}
    for role, usual in NAMES.items():
        person: Person = PersonFactory(
            name=names.get(role.value, usual), email=f"{role.value}@{slug}.example"
        )
        MembershipFactory(academy=academy, person=person, role=role)
        keep_address(person)
        held[role] = person
    cohort = people.make_cohort(
        academy=academy,
        by=held[Role.MANAGER],
        name="Plover",
        starts_on=TERM,
        educators=[held[Role.EDUCATOR]],
    )
    people.place_in_cohort(
        person=held[Role.APPRENTICE], cohort=cohort, by=held[Role.MANAGER], since=TERM
    )
    return Staffed(academy, held, cohort)


def module(key: str, title: str, **fields: object) -> ModuleContent:
    """A short module: one zone with one panel of foils, two criteria, one head."""
    plain = ModuleContent(
        key=key,
        title=title,
        purpose="Take thin, even subsections and lay them without a slip.",
        time_minutes=Decimal(20),
        cautions=("K6",),
        judged_zones=(Zone.OCCIPITAL,),
        steps=(
            StepContent("Clip", "Clip everything above the panel out of the way."),
            StepContent("Part", "Draw the line with the tail of the comb, level with the floor."),
        ),
        faults=(FaultContent("Wedge at the end", "The comb was tipped at the last stitch."),),
        criteria=(
            CriterionContent(
                "S1",
                "Even depth",
                Scope.ZONES,
                (
                    "No panel stands.",
                    "Depth changes from foil to foil.",
                    "Depth is even on half of the panel.",
                    "Depth is even to 1 mm.",
                    "Even to 1 mm, and calm from the first foil to the last.",
                ),
                weight=2,
            ),
            CriterionContent(
                "S2",
                "Gloves on",
                Scope.HEAD,
                (
                    "No gloves.",
                    "Gloves came off with colour in the bowl.",
                    "Torn and not changed.",
                    "On from the first mixing to the last rinse.",
                    "On throughout, and changed between mixtures.",
                ),
                must_pass=True,
                must_pass_reason="Developer and dye harm the skin.",
            ),
        ),
        targets=(TargetLine(2, PracticeUnit.PANELS),),
        sheets=(
            SheetContent(
                SheetKind.PATTERN,
                "one_panel",
                Zone.OCCIPITAL,
                depth_mm=Decimal(6),
                left_mm=Decimal("6.5"),
                foil_mm=Decimal(100),
            ),
        ),
    )
    return replace(plain, **fields)  # type: ignore[arg-type]


def teach(staffed: Staffed) -> tuple[ModuleVersion, ModuleVersion, Award]:
    """Two published modules, quarters before slices, and the award of both."""
    academy, educator = staffed.academy, staffed.educator
    contents = [
        module("quarters", "Quarters and clips"),
        module("slices", "Back slices", needs=("quarters",)),
    ]
    load_modules(academy=academy, by=educator, contents=contents)
    award = make_award(
        academy=academy,
        by=educator,
        key="foils",
        title="Foil work",
        modules=["quarters", "slices"],
        two_assessors=False,
    )
    versions = ModuleVersion.objects.select_related("module", "academy")
    return (
        versions.get(academy=academy, module__key="quarters"),
        versions.get(academy=academy, module__key="slices"),
        award,
    )


def weaves(staffed: Staffed) -> ModuleVersion:
    """A third module, which no award asks for."""
    contents = [module("weaves", "Weaving with the comb")]
    load_modules(academy=staffed.academy, by=staffed.educator, contents=contents)
    return ModuleVersion.objects.select_related("module", "academy").get(
        academy=staffed.academy, module__key="weaves"
    )


def practise(staffed: Staffed, version: ModuleVersion, panels: int = 2) -> str:
    """A session of the apprentice, with the educator beside the block; gives its token."""
    session = log_session(
        academy=staffed.academy,
        apprentice=staffed.apprentice,
        version=version,
        sitting=Sitting(
            started_at=timezone.now() - timedelta(hours=3),
            minutes=40,
            units=[Done(PracticeUnit.PANELS, panels)],
            zones=["occipital"],
            went_well="The parting stayed level.",
        ),
        client_key=new_token(),
        supervisor=staffed.educator,
    )
    return session.token


def mark_head(staffed: Staffed, version: ModuleVersion, level: int = 3) -> Assessment:
    """A draft of the assessor in which every level stands, with one fault and a rating."""
    assessment = scoring.start_assessment(
        academy=staffed.academy,
        assessor=staffed.assessor,
        apprentice=staffed.apprentice,
        version=version,
    )
    mark_into(assessment, level=level)
    by = staffed.assessor
    at = zone_centre(Zone.OCCIPITAL)
    faults.place_fault(
        assessment=assessment,
        by=by,
        azimuth_deg=Decimal(str(at.azimuth_deg)),
        elevation_deg=Decimal(str(at.elevation_deg)),
        fault=version.faults.get(position=1),
    )
    return assessment


def mark_into(assessment: Assessment, level: int, rating: int = 4) -> None:
    """One level everywhere, and the overall rating."""
    by = assessment.assessor
    for criterion in assessment.module_version.criteria.all():
        zone = "occipital" if criterion.scope == Scope.ZONES else ""
        scoring.set_level(assessment=assessment, by=by, criterion=criterion, zone=zone, level=level)
    scoring.set_overall(assessment=assessment, by=by, rating=rating)


def photograph(assessment: Assessment, assessor: Person) -> Photo:
    """One photo of a draft, as small as a photo can be."""
    return photos.add_photo(assessment=assessment, by=assessor, shows="work", **small_photo())


def small_photo() -> dict[str, Any]:
    """What every photo is sent with."""
    out = io.BytesIO()
    Image.new("RGB", (2, 2)).save(out, "PNG")
    upload = SimpleUploadedFile("work.png", out.getvalue(), "image/png")
    return {"upload": upload, "allowed": "no_face", "client_key": new_token()}


def assess(staffed: Staffed, version: ModuleVersion, level: int = 3) -> Assessment:
    """A submitted head with whole feedback."""
    assessment = mark_head(staffed, version, level)
    photograph(assessment, staffed.assessor)
    submitting.submit(assessment=assessment, by=staffed.assessor, points=[WHOLE])
    return assessment


def sign(staffed: Staffed, version: ModuleVersion, *, verified: bool = True) -> SignOff:
    """A sign-off on the heads that are there, upheld where `verified`."""
    ticks = signing.Ticks(valid=True, sufficient=True, authentic=True, current=True)
    row = signing.sign_off(
        academy=staffed.academy,
        assessor=staffed.assessor,
        apprentice=staffed.apprentice,
        version=version,
        ticks=ticks,
        method="password",
    )
    if verified:
        signing.verify(sign_off=row, verifier=staffed.verifier, result="upheld")
    return row


def look_twice(staffed: Staffed, row: SignOff) -> None:
    """The verifier asks for action after all, and upholds it once that is done."""
    signing.verify(
        sign_off=row,
        verifier=staffed.verifier,
        result="action_needed",
        text="Add the missing date.",
        due_on=timezone.localdate() + timedelta(days=7),
    )
    signing.verify(sign_off=row, verifier=staffed.verifier, result="upheld")


def reach_target(staffed: Staffed, version: ModuleVersion) -> None:
    """Practice enough, confirmed by the educator: from here on the apprentice may ask."""
    session = practise(staffed, version)
    row = version.practice_sessions.get(token=session)
    confirm_session(session=row, supervisor=staffed.educator, confirmed=True)


def pass_module(
    staffed: Staffed, version: ModuleVersion, *, verified: bool = True, asked: bool = False
) -> SignOff:
    """From nothing to a sign-off: practised, confirmed, assessed, signed.

    Where `asked` a booking stays open, as if the head had been judged without it.
    """
    reach_target(staffed, version)
    if asked:
        booking.ask_for_assessment(
            academy=staffed.academy, apprentice=staffed.apprentice, version=version
        )
    assess(staffed, version)
    return sign(staffed, version, verified=verified)


def after_not_yet(staffed: Staffed, key: str = "weaves") -> dict[str, str]:
    """A "not yet" with an appeal and a plan, a task and a closed day; gives their tokens."""
    version = ModuleVersion.objects.select_related("module", "academy").get(
        academy=staffed.academy, module__key=key
    )
    head = assess(staffed, version, level=1)
    today = timezone.localdate()
    (task,) = set_tasks(
        academy=staffed.academy,
        educator=staffed.educator,
        module=version.module,
        apprentices=[staffed.apprentice],
        wanted=Wanted(3, PracticeUnit.PANELS, today + timedelta(days=14), Zone.OCCIPITAL.value),
    )
    plan = write_action_plan(
        academy=staffed.academy,
        educator=staffed.educator,
        apprentice=staffed.apprentice,
        version=version,
        text="Six panels, two a session.",
        due_on=today + timedelta(days=9),
    )
    made = appeal(
        assessment=Assessment.objects.for_result().get(pk=head.pk),
        apprentice=staffed.apprentice,
        text="The panel was level when it was laid.",
    )
    closed = ClosedDay.objects.filter(academy=staffed.academy).count()
    day = people.close_day(
        academy=staffed.academy,
        by=staffed.manager,
        day=today + timedelta(days=30 + closed),
        why="Founder's day",
    )
    return {
        "task": task.token,
        "plan": plan.token,
        "appeal": made.token,
        "closed_day": day.token,
    }


def set_a_paper(staffed: Staffed, **fields: object) -> Paper:
    """A practice paper of one question for the cohort, with the numbers of one seed."""
    wanted = PaperWanted(
        cohort=staffed.cohort,
        title="Diluting a developer",
        parts=[PartWanted("dilute-a-developer", Level.FIRST, 1)],
        seed=SEED,
    )
    return exercises.set_paper(
        academy=staffed.academy,
        by=staffed.educator,
        wanted=replace(wanted, **fields),  # type: ignore[arg-type]
    )


def hand_in(paper: Paper, apprentice: Person, *, right: bool = True) -> str:
    """A sheet with every line right, or every line empty; gives its token."""
    sheet = exercises.start_sheet(paper=paper, apprentice=apprentice)
    answers = right_answers(paper, apprentice, sheet.attempt) if right else {}
    exercises.hand_in(sheet=sheet, by=apprentice, answers=answers)
    return sheet.token


def right_answers(paper: Paper, apprentice: Person, attempt: int = 1) -> dict[tuple[int, str], str]:
    """What to type into each field, by position and key."""
    rows = paper.questions.filter(apprentice=apprentice, attempt=attempt).order_by("position")
    return {
        (row.position, field.key): str(row.question.key[field.key])
        for row in rows
        for field in row.question.fields
    }


def needs_press() -> None:
    """Skip the test, with the reason, where no PDF can be printed."""
    try:
        render_pdf("<p>Proof</p>", stylesheets=["css/paper.css"])
    except PdfError as error:
        missing(error.message)


def build(slug: str = "larkmere", name: str = "Larkmere Academy of Hair Colour") -> World:
    """The academy whole.

    The apprentice holds a certificate and has begun everything again; a colleague of theirs, in
    no cohort, waits for a verifier.
    """
    needs_press()
    staffed = staff(slug, name)
    quarters, slices, award = teach(staffed)
    colleague = PersonFactory(name="Wren Adeyemi", email=f"colleague@{slug}.example")
    MembershipFactory(academy=staffed.academy, person=colleague, role=Role.APPRENTICE)
    look_twice(staffed, pass_module(staffed, quarters))
    pass_module(staffed, slices, asked=True)
    third = weaves(staffed)
    theirs = replace(staffed, people={**staffed.people, Role.APPRENTICE: colleague})
    pass_module(theirs, third, verified=False)
    certificate = issue_certificate(
        academy=staffed.academy, award=award, holder=staffed.apprentice, by=staffed.manager
    )
    looks = looked_at_twice(theirs, third)
    pack_evidence(staffed, slices)
    return World(
        staffed.academy,
        staffed.people,
        staffed.cohort,
        colleague=colleague,
        tokens={**_tokens(staffed, slices, award, certificate), **looks},
        version=slices,
    )


def pack_evidence(staffed: Staffed, version: ModuleVersion) -> None:
    """Everybody has a pack of the sign-off."""
    for person in staffed.people.values():
        pack = EvidencePack.objects.create(
            academy=staffed.academy,
            about=EvidencePack.About.SIGN_OFF,
            subject_id=version.sign_offs.get().pk,
            asked_by=person,
        )
        build_pack(pack.pk)


def looked_at_twice(staffed: Staffed, version: ModuleVersion) -> dict[str, str]:
    """Heads that wait for a second mark, for a ruling and with one; a sample; reference heads."""
    second = PersonFactory(name="Joren Pask")
    MembershipFactory(academy=staffed.academy, person=second, role=Role.ASSESSOR)
    other = replace(staffed, people={**staffed.people, Role.ASSESSOR: second})
    heads = {}
    for kind in ("split", "ruled", "awaited"):
        first = mark_head(staffed, version)
        seconds.ask_for_second_mark(
            assessment=first, by=staffed.assessor, reason="The light changed."
        )
        submitting.submit(assessment=first, by=staffed.assessor, points=[WHOLE])
        heads[kind] = first
        if kind != "awaited":
            draft = seconds.start_second_mark(first=first, assessor=second)
            mark_into(draft, level=1, rating=2)
            submitting.submit(assessment=draft, by=other.assessor, points=[WHOLE])
    ruling.rule(
        first=heads["ruled"],
        second=heads["ruled"].second_marks.get(),
        verifier=staffed.verifier,
        decision="one_more",
        reason="The photo shows too little of the panel.",
    )
    today = timezone.localdate()
    sample = sampling.open_sample_plan(
        academy=staffed.academy,
        by=staffed.verifier,
        batch=sampling.Batch("This month", today - timedelta(days=30), today),
        promise=sampling.Promise(rate=Decimal("0.1"), confidence=Decimal("0.95")),
        seed=SEED,
    )
    reference = reference_head(staffed, version)
    draft_reference = standardising.write_reference(
        academy=staffed.academy, by=staffed.educator, version=version, name="Not agreed yet"
    )
    of_draft = photos.add_reference_photo(
        reference=draft_reference, by=staffed.educator, shows="nape", **small_photo()
    )
    return {
        **{kind: head.token for kind, head in heads.items()},
        "sample": sample.token,
        "reference": reference.token,
        "photo_of_reference": reference.photos.get().token,
        "reference_draft": draft_reference.token,
        "photo_of_draft": of_draft.token,
    }


def reference_head(staffed: Staffed, version: ModuleVersion, name: str = "Even") -> ReferenceHead:
    """A published reference head, every place agreed at 3."""
    row = standardising.write_reference(
        academy=staffed.academy, by=staffed.educator, version=version, name=name
    )
    standardising.keep_reference(
        reference=row,
        by=staffed.educator,
        levels={
            (one.code, zone): (3, "Even to the ruler.")
            for one, zone in standardising.places_of(version)
        },
        faults=[
            standardising.AgreedFault(zone_centre(Zone.OCCIPITAL), version.faults.get(position=1))
        ],
    )
    photos.add_reference_photo(reference=row, by=staffed.educator, shows="nape", **small_photo())
    return standardising.publish_reference(reference=row, by=staffed.educator)


def _tokens(
    staffed: Staffed, version: ModuleVersion, award: Award, certificate: Certificate
) -> dict[str, str]:
    academy, apprentice, educator = staffed.academy, staffed.apprentice, staffed.educator
    after = after_not_yet(staffed)
    invitation = people.invite(
        academy=academy,
        by=staffed.manager,
        email="pia@example.test",
        name="Pia Harrow",
        role=Role.ASSESSOR,
    )
    first: Module = Module.objects.get(academy=academy, key="quarters")
    draft = start_draft(module=first, by=educator)
    make_rule_set(academy=academy, by=educator, changes={"skin_test_hours": Decimal(72)})
    label = enter_label(
        academy=academy, by=educator, name="Cream 10 vol", fields={"kind": "permanent"}
    )
    paper = set_a_paper(staffed, module_version=version)
    handed_in = hand_in(paper, apprentice)
    sheet = exercises.start_sheet(paper=paper, apprentice=apprentice)
    printed = exercises.ask_print(paper=paper, by=educator, what="key")
    result = version.assessments.get(state=Assessment.State.SUBMITTED)
    booked = booking.open_booking(apprentice, version)
    assert booked is not None
    head = mark_head(staffed, version)
    membership: Membership = apprentice.memberships.get()
    return {
        **after,
        "person": apprentice.token,
        "membership": membership.token,
        "cohort": staffed.cohort.token,
        "invitation": invitation.token,
        "secret": invitation.secret,
        "module": version.module.token,
        "first": first.token,
        "version": version.token,
        "draft": draft.token,
        "label": label.token,
        "award": award.token,
        "paper": paper.token,
        "fresh_paper": set_a_paper(staffed, title="Not begun yet", seed=SEED - 1).token,
        "fresh_test": set_a_paper(
            staffed, title="A test", kind="test", minutes=30, seed=SEED - 2
        ).token,
        "sheet": sheet.token,
        "handed_in": handed_in,
        "print": printed.token,
        "result_print": printing.ask_result_print(assessment=result, by=apprentice).token,
        "session": practise(staffed, version),
        "booking": booked.token,
        "head": head.token,
        "fault": head.fault_marks.get().client_key,
        "photo": photograph(head, staffed.assessor).token,
        "result": result.token,
        "photo_of_result": result.photos.get().token,
        "signoff": version.sign_offs.get().token,
        "certificate": certificate.token,
    }
