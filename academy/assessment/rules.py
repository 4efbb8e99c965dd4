"""Who may assess, sign off and verify whom. Nobody decides on their own work, at any step."""

from __future__ import annotations

from academy.assessment.models import Assessment, Booking, SignOff
from academy.people.models import Academy, Person, Role, held_roles_of


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


def may_see_both_marks(person: Person, assessment: Assessment) -> bool:
    """Whoever looks at how assessors agree, never the apprentice the head is of."""
    if person.pk == assessment.apprentice_id:
        return False
    held = set(held_roles_of(person, assessment.academy))
    return bool({Role.VERIFIER, Role.EDUCATOR, Role.MANAGER, Role.ASSESSOR} & held)


def may_correct_feedback(person: Person, assessment: Assessment) -> bool:
    """The assessor who gave it, after submission and while it counts."""
    stands = assessment.state == Assessment.State.SUBMITTED and not assessment.withdrawn
    return stands and assessment.assessor_id == person.pk


def may_withdraw(person: Person, assessment: Assessment) -> bool:
    """The assessor who submitted it; whether there is still time the service says."""
    return assessment.state == Assessment.State.SUBMITTED and assessment.assessor_id == person.pk


def may_verify(person: Person, sign_off: SignOff) -> bool:
    """A verifier who neither signed nor marked any of the evidence, and is not its apprentice."""
    involved = {sign_off.assessor_id, sign_off.apprentice_id}
    involved |= set(sign_off.assessments.values_list("assessor_id", flat=True))
    if person.pk in involved:
        return False
    return Role.VERIFIER in held_roles_of(person, sign_off.academy)


def may_plan(person: Person, academy: Academy) -> bool:
    """Educators agree action plans with apprentices."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_sample(person: Person, academy: Academy) -> bool:
    """Verifiers draw samples of sign-offs and close them."""
    return Role.VERIFIER in held_roles_of(person, academy)
