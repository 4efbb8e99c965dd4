"""What concerns a person alone: name, consent, and whom to call while they are under 18."""

from __future__ import annotations

from typing import Final

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.people import rules, wordings
from academy.people.errors import PeopleError
from academy.people.models import Academy, Consent, Guardian, Membership, Person, Role
from academy.people.services.checks import check_manager

_LONGEST_CONTACT: Final = 120


@transaction.atomic
def change_name(*, person: Person, academy: Academy, name: str) -> Person:
    """A person's own name, as it stands on their next certificates."""
    person.name = rules.read_name(name)
    person.save(update_fields=["name"])
    record(
        academy_id=academy.pk,
        actor_id=person.pk,
        action="people.person.name_changed",
        subject=person,
    )
    return person


@transaction.atomic
def give_consent(*, person: Person, academy: Academy, purpose: str) -> Consent:
    """Agree to today's wording. Agreeing twice is one row and one entry.

    A consent belongs to the person, not to an academy; the entry stands in the record of the
    academy they are acting in.
    """
    purpose = _known(purpose)
    wording = wordings.current_wording(purpose)
    Person.objects.select_for_update().get(pk=person.pk)
    standing = person.consents.standing().filter(purpose=purpose).first()
    if standing and standing.wording_version == wording:
        return standing
    if standing:
        standing.withdrawn_at = timezone.now()
        standing.save(update_fields=["withdrawn_at"])
    consent = Consent.objects.create(person=person, purpose=purpose, wording_version=wording)
    record(
        academy_id=academy.pk,
        actor_id=person.pk,
        action="people.consent.given",
        subject=consent,
        details={"person": person.pk, "purpose": purpose, "wording": wording},
    )
    return consent


@transaction.atomic
def withdraw_consent(*, person: Person, academy: Academy, purpose: str) -> Consent:
    """Stop agreeing, from now on. The privacy notice is read, not agreed to, and stays read."""
    purpose = _known(purpose)
    if purpose == Consent.Purpose.PRIVACY_NOTICE:
        raise PeopleError("What was read stays read. Your manager can end your role.")
    Person.objects.select_for_update().get(pk=person.pk)
    standing = person.consents.standing().filter(purpose=purpose).first()
    if standing is None:
        raise PeopleError("You have not agreed to this, so there is nothing to take back.")
    standing.withdrawn_at = timezone.now()
    standing.save(update_fields=["withdrawn_at"])
    record(
        academy_id=academy.pk,
        actor_id=person.pk,
        action="people.consent.withdrawn",
        subject=standing,
        details={
            "person": person.pk,
            "purpose": purpose,
            "wording": standing.wording_version,
        },
    )
    return standing


@transaction.atomic
def set_guardian(
    *, person: Person, academy: Academy, by: Person, name: str, contact: str
) -> Guardian:
    """Keep whom to call for an apprentice under 18; a second one replaces the first."""
    check_manager(by, academy)
    apprenticed = Membership.objects.filter(person=person, academy=academy, role=Role.APPRENTICE)
    if not apprenticed.exists():
        raise PeopleError(f"{person.name} is no apprentice here. No contact is kept.")
    contact = " ".join(contact.split())
    if not contact:
        raise PeopleError("Give a telephone number or an e-mail address.", field="contact")
    if len(contact) > _LONGEST_CONTACT:
        raise PeopleError(f"At most {_LONGEST_CONTACT} characters fit.", field="contact")
    guardian, _ = Guardian.objects.update_or_create(
        person=person,
        academy=academy,
        defaults={"name": rules.read_name(name), "contact": contact},
    )
    record(academy_id=academy.pk, actor_id=by.pk, action="people.guardian.kept", subject=person)
    return guardian


@transaction.atomic
def remove_guardian(*, person: Person, academy: Academy, by: Person) -> None:
    """Erase the contact: the apprentice has come of age or left."""
    check_manager(by, academy)
    gone, _ = Guardian.objects.filter(person=person, academy=academy).delete()
    if not gone:
        raise PeopleError(f"No guardian's contact is kept for {person.name}.")
    record(academy_id=academy.pk, actor_id=by.pk, action="people.guardian.removed", subject=person)


def _known(purpose: str) -> str:
    if purpose not in Consent.Purpose.values:
        raise PeopleError("There is nothing of that kind to agree to.")
    return purpose
