"""Makes many of one: whatever a page of the small academy lists, it then lists forty of."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.models import Assessment
from academy.assessment.services import faults, feedback, photos, signing, submitting
from academy.awards.services import issue_certificate
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.curriculum.models import Award, ModuleVersion
from academy.curriculum.services import (
    enter_label,
    load_modules,
    make_award,
    make_rule_set,
    start_draft,
)
from academy.exercises import services as exercises
from academy.exercises.models import Paper
from academy.people import services as people
from academy.people.models import Person, Role
from tests.site.factories import CohortPlaceFactory, MembershipFactory, PersonFactory
from tests.site.world import (
    SEED,
    TERM,
    WHOLE,
    after_not_yet,
    assess,
    hand_in,
    looked_at_twice,
    mark_head,
    module,
    pass_module,
    photograph,
    practise,
    set_a_paper,
)

if TYPE_CHECKING:
    from tests.site.world import World


# Heads with a second mark or waiting for one, samples and reference heads: three times as many
# as the small academy has show a query too many as well as forty do, in a tenth of the time.
LOOKED_AT_TWICE = 3


def grow(world: World, many: int) -> None:
    """`many` more of every kind of row, for the same people and for as many new ones."""
    versions = {
        version.module.key: version
        for version in ModuleVersion.objects.filter(
            academy=world.academy, state=ModuleVersion.State.PUBLISHED
        ).select_related("module", "academy")
    }
    load_modules(academy=world.academy, by=world.educator, contents=[module("twists", "Twists")])
    for number in range(many):
        apprentice = _apprentice(world, number)
        theirs = replace(world, people={**world.people, Role.APPRENTICE: apprentice})
        _their_road(theirs, versions)
        if number < LOOKED_AT_TWICE:
            looked_at_twice(theirs, versions["weaves"])
        _more_of_the_apprentice(world, versions["slices"], number)
        _more_of_the_house(world, number)
    _more_modules(world, many)
    _more_on_one_head(world, many)
    paper = Paper.objects.get(token=world.tokens["paper"])
    begun = exercises.start_sheet(paper=paper, apprentice=world.apprentice)
    world.tokens["sheet"] = begun.token


def _apprentice(world: World, number: int) -> Person:
    person: Person = PersonFactory(name=f"Apprentice {number}")
    MembershipFactory(academy=world.academy, person=person, role=Role.APPRENTICE)
    CohortPlaceFactory(cohort=world.cohort, person=person, since=TERM)
    return person


def _their_road(other: World, versions: dict[str, ModuleVersion]) -> None:
    """Everything up to a certificate, a sign-off that waits, a booking and a draft."""
    hand_in(Paper.objects.get(token=other.tokens["paper"]), other.apprentice)
    pass_module(other, versions["quarters"])
    pass_module(other, versions["slices"], asked=True)
    pass_module(other, versions["weaves"], verified=False)
    after_not_yet(other, "twists")
    issue_certificate(
        academy=other.academy,
        award=Award.objects.get(token=other.tokens["award"]),
        holder=other.apprentice,
        by=other.manager,
    )
    mark_head(other, versions["slices"])


def _more_of_the_apprentice(world: World, version: ModuleVersion, number: int) -> None:
    practise(world, version)
    open_draft = Assessment.objects.get(token=world.tokens["head"])
    if number == 0:
        submitting.submit(assessment=open_draft, by=world.assessor, points=[WHOLE])
    else:
        assess(world, version)
    paper = set_a_paper(world, seed=SEED + number + 1, title=f"Paper {number}")
    hand_in(paper, world.apprentice)
    first = Paper.objects.get(token=world.tokens["paper"])
    hand_in(first, world.apprentice)
    exercises.ask_print(paper=first, by=world.educator, what="papers")


def _more_of_the_house(world: World, number: int) -> None:
    academy, manager = world.academy, world.manager
    people.make_cohort(academy=academy, by=manager, name=f"Cohort {number}", starts_on=TERM)
    people.invite(
        academy=academy,
        by=manager,
        email=f"guest-{number}@example.test",
        name=f"Guest {number}",
        role=Role.ASSESSOR,
    )
    hours = Decimal(49 + number % 2)
    make_rule_set(academy=academy, by=world.educator, changes={"skin_test_hours": hours})
    enter_label(
        academy=academy, by=world.educator, name=f"Cream {number}", fields={"kind": "permanent"}
    )


def _more_modules(world: World, many: int) -> None:
    keys = [f"module-{number}" for number in range(many)]
    load_modules(
        academy=world.academy,
        by=world.educator,
        contents=[module(key, f"Module {key}", needs=("quarters",)) for key in keys],
    )
    for key in keys:
        start_draft(module=world.academy.modules.get(key=key), by=world.educator)
        make_award(
            academy=world.academy, by=world.educator, key=key, title=f"Award {key}", modules=[key]
        )


def _more_on_one_head(world: World, many: int) -> None:
    """Fault marks on the draft in hand, verifications of one sign-off, corrected feedback."""
    head = mark_head(world, world.version)
    world.tokens["head"] = head.token
    for _ in range(min(many, photos.MOST_PHOTOS)):
        world.tokens["photo"] = photograph(head, world.assessor).token
    at = zone_centre(Zone.OCCIPITAL)
    for _ in range(many - 1):
        mark = faults.place_fault(
            assessment=head,
            by=world.assessor,
            azimuth_deg=Decimal(str(at.azimuth_deg)),
            elevation_deg=Decimal(str(at.elevation_deg)),
            common="",
            fault=world.version.faults.get(position=1),
        )
        world.tokens["fault"] = mark.client_key
    row = world.version.sign_offs.get(token=world.tokens["signoff"])
    result = world.version.assessments.get(token=world.tokens["result"])
    for number in range(many):
        signing.verify(
            sign_off=row,
            verifier=world.verifier,
            result="action_needed",
            text="Add the missing date.",
            due_on=timezone.localdate() + timedelta(days=number),
        )
        latest = result.feedback.filter(corrected_by__isnull=True).last()
        assert latest
        feedback.correct_feedback(
            feedback=latest, by=world.assessor, boxes=WHOLE, reason=f"Said better, {number}."
        )
    signing.verify(sign_off=row, verifier=world.verifier, result="upheld")
