"""Who may assess, sign off and verify whom. Nobody decides on their own work, at any step."""

from __future__ import annotations

from typing import Final

from django.db.models import Q, QuerySet, prefetch_related_objects

from academy.assessment.models import ActionPlan, Appeal, Assessment, Booking, SamplePlan, SignOff
from academy.people.models import Academy, Person, Role, held_roles_of

# What `involved_in` reads of a sign-off; prefetch it for lists.
PARTS: Final = ("named__assessment__second_marks", "named__assessment__ruling")


def may_be_assessed(person: Person, academy: Academy) -> bool:
    return Role.APPRENTICE in held_roles_of(person, academy)


def may_book(person: Person, academy: Academy) -> bool:
    """Educators and assessors give an appointment."""
    return bool({Role.EDUCATOR, Role.ASSESSOR} & set(held_roles_of(person, academy)))


def may_assess(person: Person, academy: Academy, apprentice: Person) -> bool:
    """An assessor of the academy, and never of oneself."""
    return person != apprentice and Role.ASSESSOR in held_roles_of(person, academy)


def may_score(person: Person, assessment: Assessment) -> bool:
    """The assessor whose draft it is, until it is submitted."""
    return assessment.assessor_id == person.pk and assessment.state == Assessment.State.DRAFT


def may_cancel(person: Person, booking: Booking) -> bool:
    """The apprentice, or whoever may book, while it is open."""
    is_open = booking.state in (Booking.State.ASKED, Booking.State.BOOKED)
    return is_open and (booking.apprentice_id == person.pk or may_book(person, booking.academy))


def may_acknowledge(person: Person, assessment: Assessment) -> bool:
    """The apprentice it is about, once; what was withdrawn is not to be answered."""
    return (
        assessment.state == Assessment.State.SUBMITTED
        and not assessment.withdrawn
        and assessment.apprentice_id == person.pk
        and not hasattr(assessment, "acknowledgement")
    )


def may_correct_feedback(person: Person, assessment: Assessment) -> bool:
    """The assessor who gave it, after submission and while it counts."""
    stands = assessment.state == Assessment.State.SUBMITTED and not assessment.withdrawn
    return stands and assessment.assessor_id == person.pk


def may_print(person: Person, assessment: Assessment) -> bool:
    """The apprentice it is about, and staff, once it is submitted."""
    roles = held_roles_of(person, assessment.academy)
    reads = person.pk == assessment.apprentice_id or roles != (Role.APPRENTICE,)
    return assessment.state == Assessment.State.SUBMITTED and bool(roles) and reads


def may_withdraw(person: Person, assessment: Assessment) -> bool:
    """The assessor who submitted it; whether there is still time the service says."""
    return assessment.state == Assessment.State.SUBMITTED and assessment.assessor_id == person.pk


def involved_in(sign_off: SignOff) -> set[int]:
    """Who signed it, who marked its evidence first or second or ruled on it, and its apprentice.

    At most four queries, none where `PARTS` were prefetched.
    """
    prefetch_related_objects([sign_off], *PARTS)
    heads = [part.assessment for part in sign_off.named.all()]
    seconds = {second.assessor_id for head in heads for second in head.second_marks.all()}
    marked = {head.assessor_id for head in heads}
    ruled = {head.ruling.verifier_id for head in heads if hasattr(head, "ruling")}
    return {sign_off.assessor_id, sign_off.apprentice_id} | marked | seconds | ruled


def had_a_part(person: Person, sign_off: SignOff) -> bool:
    """Whether this decision is about their own work, as a judge or as the one who is judged.

    Asked here by every page and service; `looking_guards` holds the same for the database.
    """
    return person.pk in involved_in(sign_off)


def may_verify(person: Person, sign_off: SignOff) -> bool:
    """A verifier who had no part in it; only the named one where a manager has named somebody."""
    if had_a_part(person, sign_off):
        return False
    named = sign_off.named_verifiers.first()
    if named is not None and named.verifier_id != person.pk:
        return False
    return Role.VERIFIER in held_roles_of(person, sign_off.academy)


def may_name_verifier(person: Person, sign_off: SignOff) -> bool:
    """A manager names who verifies what another had a part in; nobody chooses their own judge."""
    is_manager = Role.MANAGER in held_roles_of(person, sign_off.academy)
    return is_manager and not had_a_part(person, sign_off)


def may_answer_action(person: Person, sign_off: SignOff) -> bool:
    """Its assessor says what was done about an action; an educator may for one who left."""
    roles = held_roles_of(person, sign_off.academy)
    return bool(roles) and (person.pk == sign_off.assessor_id or Role.EDUCATOR in roles)


def may_assign_second(person: Person, academy: Academy) -> bool:
    """Educators, verifiers and managers give second marks to somebody."""
    giving = {Role.EDUCATOR, Role.VERIFIER, Role.MANAGER}
    return bool(giving & set(held_roles_of(person, academy)))


def taught(person: Person, apprentice: int) -> bool:
    """Whether they teach a cohort that this apprentice is or was in; a warning, no refusal."""
    return person.taught_cohorts.filter(places__person=apprentice).exists()


def may_rule(person: Person, first: Assessment, second: Assessment) -> bool:
    """A verifier who gave neither mark and is not the apprentice."""
    involved = {first.assessor_id, second.assessor_id, first.apprentice_id}
    return person.pk not in involved and Role.VERIFIER in held_roles_of(person, first.academy)


def may_compare(person: Person, first: Assessment, second: Assessment) -> bool:
    """Who looks at how assessors agree, and both of them; never the apprentice."""
    if person.pk == first.apprentice_id:
        return False
    roles = set(held_roles_of(person, first.academy))
    if roles and person.pk in (first.assessor_id, second.assessor_id):
        return True
    return bool({Role.VERIFIER, Role.EDUCATOR, Role.MANAGER} & roles)


def may_see_both_marks(person: Person, assessment: Assessment) -> bool:
    """Who may compare the two marks of this head, once both are submitted."""
    first = assessment.second_of or assessment
    return first.second is not None and may_compare(person, first, first.second)


def may_standardise(person: Person, academy: Academy) -> bool:
    """Educators publish reference heads and rate feedback."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_plan(person: Person, academy: Academy) -> bool:
    """Educators agree action plans with apprentices."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_plan_for(person: Person, academy: Academy, apprentice: Person) -> bool:
    """An educator, and never for oneself."""
    return person != apprentice and may_plan(person, academy)


def may_close_plan(person: Person, plan: ActionPlan) -> bool:
    """An educator of the academy, and never one's own."""
    return may_plan_for(person, plan.academy, plan.apprentice)


def may_sample(person: Person, academy: Academy) -> bool:
    """Verifiers draw samples of sign-offs and close them."""
    return Role.VERIFIER in held_roles_of(person, academy)


def may_close_sample(person: Person, plan: SamplePlan) -> bool:
    """A verifier who had no part in a decision of the batch: closing verifies what is not drawn."""
    return may_sample(person, plan.academy) and not had_a_part_in_any(
        person, SignOff.objects.filter(sampled__plan=plan)
    )


def had_a_part_in_any(person: Person, sign_offs: QuerySet[SignOff]) -> bool:
    """Whether one of these is about their own work. One query."""
    own = Q(assessor=person) | Q(apprentice=person) | Q(named__assessment__assessor=person)
    own |= Q(named__assessment__second_marks__assessor=person)
    own |= Q(named__assessment__ruling__verifier=person)
    return sign_offs.filter(own).exists()


def may_appeal(person: Person, assessment: Assessment) -> bool:
    """The apprentice it is about, against a first mark that counts; the days the service checks."""
    return (
        assessment.apprentice_id == person.pk
        and assessment.kind == Assessment.Kind.FIRST
        and assessment.state == Assessment.State.SUBMITTED
        and not assessment.withdrawn
    )


def may_withdraw_appeal(person: Person, appeal: Appeal) -> bool:
    """Who made it, while they learn here."""
    return person.pk == appeal.apprentice_id and Role.APPRENTICE in held_roles_of(
        person, appeal.academy
    )


def may_answer_appeal(person: Person, appeal: Appeal) -> bool:
    """A verifier who marked neither, ruled on neither before it, and is not the apprentice.

    An appeal always gets a fresh look (trade.md 5.5). After two marks and a ruling that look is
    the answer, so it is not given by who ruled; a ruling made since the appeal is part of it.
    """
    first = appeal.assessment
    ruling = getattr(first, "ruling", None)
    involved = {first.apprentice_id, first.assessor_id}
    involved |= {second.assessor_id for second in first.second_marks.all()}
    if ruling is not None and ruling.at < appeal.at:
        involved.add(ruling.verifier_id)
    return person.pk not in involved and Role.VERIFIER in held_roles_of(person, appeal.academy)
