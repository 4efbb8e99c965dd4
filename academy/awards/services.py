"""Issuing and withdrawing certificates."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from academy.assessment.results import in_date_until
from academy.assessment.services.holding import hold_academy
from academy.audit.services import record
from academy.awards.errors import AwardError
from academy.awards.models import Certificate, CertificateEvent, CertificateSignOff
from academy.awards.printing import job_key
from academy.awards.queries import award_places, state_of
from academy.awards.state import State
from academy.people.models import Role, held_roles_of
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from academy.assessment.models import SignOff, Verification
    from academy.awards.queries import AwardPlace
    from academy.curriculum.models import Award
    from academy.people.models import Academy, Person

PRINT_TASK = "academy.awards.tasks.print_certificate"


def issue_certificate(
    *,
    academy: Academy,
    award: Award,
    holder: Person,
    by: Person,
    replaces: Certificate | None = None,
) -> Certificate:
    """Issue a certificate for a complete award, and have its PDF printed by the worker.

    Valid for the award's months, at most until the first of its sign-offs lapses. Issuing again
    while one is valid gives that one. Raises `AwardError` with everything that is missing.
    """
    _check_manager(by, academy)
    if holder == by:
        raise AwardError("Nobody issues a certificate to themselves.")
    with transaction.atomic():
        # Held until the end, so that two managers at once issue one certificate.
        hold_academy(academy.pk)
        place = next(p for p in award_places(academy, [holder.pk]) if p.award.pk == award.pk)
        if place.certificate is not None and replaces is None:
            return place.certificate
        if not place.complete:
            raise AwardError("Not complete yet. " + ". ".join(place.open) + ".")
        _check_replaced(replaces, award, holder)
        certificate = _write(place, academy, holder, by, replaces)
        record(
            academy_id=academy.pk,
            actor_id=by.pk,
            action="awards.certificate.issued",
            subject=certificate,
            details={
                "apprentice": holder.pk,
                "award": award.pk,
                "number": certificate.number,
                "sign_offs": [sign_off.pk for sign_off in place.sign_offs],
                "valid_until": certificate.valid_until.isoformat(),
                "replaces": replaces.pk if replaces else None,
            },
        )
        enqueue(PRINT_TASK, certificate.pk, key=job_key(certificate.pk))
    return certificate


def withdraw_certificate(*, certificate: Certificate, by: Person, reason: str) -> CertificateEvent:
    """Withdraw for good. The reason stays inside the academy; the public page says only that."""
    _check_manager(by, certificate.academy)
    if certificate.holder_id == by.pk:
        raise AwardError("Nobody withdraws a certificate of their own. Ask a colleague.")
    if not reason.strip():
        raise AwardError(
            "Say why. The public page shows only that it was withdrawn, and when.", field="reason"
        )
    with transaction.atomic():
        # Held until the end, so that of two submits at once the later reads that it is.
        hold_academy(certificate.academy_id)
        if state_of(Certificate.objects.get(pk=certificate.pk)).state is State.WITHDRAWN:
            raise AwardError("This certificate is withdrawn already.")
        event = CertificateEvent.objects.create(
            certificate=certificate,
            kind=CertificateEvent.Kind.WITHDRAWN,
            by=by,
            reason=reason.strip(),
        )
        record(
            academy_id=certificate.academy_id,
            actor_id=by.pk,
            action="awards.certificate.withdrawn",
            subject=certificate,
            details={"apprentice": certificate.holder_id},
        )
    return event


def lapse_certificates(sign_off: SignOff, verification: Verification) -> None:
    """An overturned sign-off ends the certificates that rest on it, in the same transaction."""
    rows = Certificate.objects.filter(rests_on__sign_off=sign_off).prefetch_related("events")
    for certificate in rows:
        if state_of(certificate).state not in (State.VALID, State.SUSPENDED):
            continue
        CertificateEvent.objects.create(
            certificate=certificate,
            kind=CertificateEvent.Kind.LAPSED,
            by=verification.verifier,
            reason="A sign-off it rests on was overturned.",
        )
        record(
            academy_id=certificate.academy_id,
            actor_id=verification.verifier_id,
            action="awards.certificate.lapsed",
            subject=certificate,
            details={"apprentice": certificate.holder_id, "sign_off": sign_off.pk},
        )


def foretold_lapses(sign_off: SignOff) -> list[str]:
    """Which certificates would lapse if this sign-off were overturned, in sentences."""
    rows = Certificate.objects.filter(rests_on__sign_off=sign_off).prefetch_related("events")
    return [
        f"Certificate {row.number}, {row.award_title}, of {row.holder_name} lapses at once. A "
        "manager may withdraw it, or issue one that replaces it after a new sign-off."
        for row in rows
        if state_of(row).state in (State.VALID, State.SUSPENDED)
    ]


def _check_manager(by: Person, academy: Academy) -> None:
    if Role.MANAGER not in held_roles_of(by, academy):
        raise AwardError("Only a manager of this academy issues and withdraws certificates.")


def _check_replaced(replaces: Certificate | None, award: Award, holder: Person) -> None:
    if replaces is None:
        return
    if replaces.award_id != award.pk or replaces.holder_id != holder.pk:
        raise AwardError("A certificate replaces one of the same award and the same holder.")
    if Certificate.objects.filter(replaces=replaces).exists():
        raise AwardError("This certificate was replaced already.")


def _write(
    place: AwardPlace,
    academy: Academy,
    holder: Person,
    by: Person,
    replaces: Certificate | None,
) -> Certificate:
    today = timezone.localdate()
    award, sign_offs = place.award, place.sign_offs
    highest = Certificate.objects.filter(academy=academy).aggregate(n=Max("number"))["n"] or 0
    certificate = Certificate.objects.create(
        academy=academy,
        number=highest + 1,
        holder=holder,
        holder_name=holder.name,
        award=award,
        award_title=award.title,
        modules=[
            {
                "title": sign_off.module_version.title,
                "version": sign_off.module_version.number,
                "signed_on": timezone.localdate(sign_off.signed_at).isoformat(),
            }
            for sign_off in sign_offs
        ],
        mannequin_note=award.mannequin_counts,
        issued_on=today,
        valid_until=min(
            in_date_until(today, award.months_valid), *(s.in_date_until for s in sign_offs)
        ),
        issued_by=by,
        replaces=replaces,
    )
    for sign_off in sign_offs:
        CertificateSignOff.objects.create(certificate=certificate, sign_off=sign_off)
    CertificateEvent.objects.create(
        certificate=certificate, kind=CertificateEvent.Kind.ISSUED, by=by
    )
    if replaces is not None:
        CertificateEvent.objects.create(
            certificate=replaces, kind=CertificateEvent.Kind.REPLACED, by=by
        )
    return certificate
