"""Standardisation: educators publish reference heads, assessors mark them, feedback is rated."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.editions import edition_of
from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Assessment,
    FeedbackRating,
    ReferenceFault,
    ReferenceHead,
    ReferenceLevel,
    ReferenceMarking,
)
from academy.audit.services import record
from academy.craft.head.zones import Zone
from academy.curriculum.content import Scope
from academy.curriculum.house import current_rule_set
from academy.curriculum.models import ModuleVersion
from academy.people.models import Role, held_roles_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from academy.assessment.models import Feedback
    from academy.craft.head.sheet import Place
    from academy.curriculum.models import Criterion, Fault
    from academy.people.models import Academy, Person

PlaceKey = tuple[str, str]
NOT_EDUCATOR = "Only an educator of this academy does this."


@dataclass(frozen=True)
class AgreedFault:
    """A fault to be found at a place on the hair: one of the module's own, or one common to all."""

    at: Place
    fault: Fault | None = None
    common: str = ""
    note: str = ""


def places_of(version: ModuleVersion) -> Iterator[tuple[Criterion, str]]:
    """Every place of the sheet, criterion and zone (empty for the whole head), in its order."""
    edition = edition_of(version)
    for criterion in edition.criteria:
        zones = [zone.value for zone in edition.judged]
        for zone in zones if criterion.scope == Scope.ZONES.value else [""]:
            yield criterion, zone


def write_reference(
    *, academy: Academy, by: Person, version: ModuleVersion, name: str, about: str = ""
) -> ReferenceHead:
    """Begin a reference head of a published module."""
    if not rules.may_standardise(by, academy):
        raise AssessmentError(NOT_EDUCATOR)
    if version.academy_id != academy.pk or version.state == ModuleVersion.State.DRAFT:
        raise AssessmentError("Choose one of your academy's modules.", field="module")
    if not name.strip():
        raise AssessmentError("Give it a name, for example: nape too thin.", field="name")
    with transaction.atomic():
        row = ReferenceHead.objects.create(
            academy=academy,
            module_version=version,
            name=name.strip(),
            about=about.strip(),
            made_by=by,
        )
        _record(row, by, "assessment.reference.written")
    return row


def keep_reference(
    *,
    reference: ReferenceHead,
    by: Person,
    levels: Mapping[PlaceKey, tuple[int, str]],
    faults: Sequence[AgreedFault],
) -> None:
    """Keep the levels agreed so far, with reasons, and the faults; nothing is published yet.

    `levels` maps (criterion code, zone) to level and reason; what is left away is still open.
    """
    check_open(reference, by)
    known = {(one.code, zone): one for one, zone in places_of(reference.module_version)}
    with transaction.atomic():
        reference.levels.all().delete()
        reference.faults.all().delete()
        for key, (level, reason) in levels.items():
            if key not in known or level not in range(5):
                raise AssessmentError("This level belongs to no place of the sheet.")
            ReferenceLevel.objects.create(
                reference=reference,
                criterion=known[key],
                zone=key[1],
                level=level,
                reason=reason.strip(),
            )
        for number, fault in enumerate(faults, 1):
            if fault.at.zone is None:
                raise AssessmentError(f"Fault {number} lies beside the hair. Choose another place.")
            ReferenceFault.objects.create(
                reference=reference,
                number=number,
                fault=fault.fault,
                common=fault.common,
                azimuth_deg=Decimal(str(fault.at.azimuth_deg)),
                elevation_deg=Decimal(str(fault.at.elevation_deg)),
                zone=fault.at.zone.value,
                note=fault.note.strip(),
            )


def publish_reference(*, reference: ReferenceHead, by: Person) -> ReferenceHead:
    """From now on it stands and assessors mark it. Raises while a place has no agreed level."""
    check_open(reference, by)
    with transaction.atomic():
        held = ReferenceHead.objects.select_for_update().get(pk=reference.pk)
        have = set(held.levels.values_list("criterion__code", "zone"))
        missing = [
            f"{one.code} {Zone(zone).words if zone else 'whole head'}"
            for one, zone in places_of(held.module_version)
            if (one.code, zone) not in have
        ]
        if missing:
            raise AssessmentError(f"Still without an agreed level: {', '.join(missing)}.")
        held.published_at = timezone.now()
        held.save(update_fields=["published_at"])
        # What was photographed is tied to the chain by its sums.
        sums = list(held.photos.values_list("sha256", flat=True))
        _record(held, by, "assessment.reference.published", photos=sums)
    return held


def start_reference(*, reference: ReferenceHead, assessor: Person) -> Assessment:
    """Open an assessor's draft of a reference head, or give the one they have.

    An assessment of kind standardisation; its head is the educator's who published it, and it
    never counts as evidence of anybody.
    """
    if reference.published_at is None:
        raise AssessmentError("This reference head is not published yet.")
    if Role.ASSESSOR not in held_roles_of(assessor, reference.academy):
        raise AssessmentError("Only an assessor of this academy marks a reference head.")
    if assessor.pk == reference.made_by_id:
        raise AssessmentError("You wrote this reference head, so marking it would show nothing.")
    found = reference.markings.filter(assessor=assessor).select_related("assessment").first()
    if found is not None:
        return found.assessment
    try:
        with transaction.atomic():
            assessment = Assessment.objects.create(
                academy_id=reference.academy_id,
                apprentice_id=reference.made_by_id,
                module_version_id=reference.module_version_id,
                assessor=assessor,
                rule_set=current_rule_set(reference.academy),
                kind=Assessment.Kind.STANDARDISATION,
            )
            ReferenceMarking.objects.create(
                assessment=assessment, reference=reference, assessor=assessor
            )
            _record(reference, assessor, "assessment.reference.begun")
    except IntegrityError as error:
        raise AssessmentError(
            "You have a draft of another reference head of this module and educator. "
            "Submit or discard it first."
        ) from error
    return assessment


def rate_feedback(*, feedback: Feedback, by: Person, rating: int) -> FeedbackRating:
    """An educator rates a feedback text, 0 to 4, once. Rating again gives the same row."""
    if not rules.may_standardise(by, feedback.assessment.academy):
        raise AssessmentError(NOT_EDUCATOR)
    if by.pk == feedback.written_by_id:
        raise AssessmentError("Nobody rates a text of their own.")
    if rating not in range(5):
        raise AssessmentError("A rating goes from 0 to 4.", field="rating")
    with transaction.atomic():
        row, made = FeedbackRating.objects.get_or_create(
            feedback=feedback, educator=by, defaults={"rating": rating}
        )
        if made:
            record(
                academy_id=feedback.assessment.academy_id,
                actor_id=by.pk,
                action="assessment.feedback.rated",
                subject=feedback.assessment,
                details={"feedback": feedback.pk, "rating": rating},
            )
    return row


def check_open(reference: ReferenceHead, by: Person) -> None:
    """Raise `AssessmentError` unless this person may still change it."""
    if not rules.may_standardise(by, reference.academy):
        raise AssessmentError(NOT_EDUCATOR)
    if reference.published_at is not None:
        raise AssessmentError("This reference head is published and stands. Write a new one.")


def _record(reference: ReferenceHead, by: Person, action: str, **details: object) -> None:
    record(
        academy_id=reference.academy_id,
        actor_id=by.pk,
        action=action,
        subject=reference,
        details={"version": reference.module_version_id, **details},
    )
