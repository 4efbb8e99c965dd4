"""Evidence and standings for many apprentices at once, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from academy.assessment.facts import Facts, Pair, facts_of
from academy.assessment.results import Evidence, Signed, Standing, conditions, standing
from academy.curriculum.models import ModuleVersion
from academy.people.models import CohortPlace, Person
from academy.practice.targets import Progress
from academy.practice.words import counted_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from academy.people.models import Academy


@dataclass(frozen=True)
class Place:
    """An apprentice in a module: the edition they are on, where they stand, and why.

    `open_needs` are the modules that come first and are not signed off in date today,
    `needs_until` says of the others how long they are.
    """

    apprentice: int
    module: int
    version: int
    standing: Standing
    evidence: Evidence
    progress: Progress
    signed: Signed | None
    open_needs: tuple[int, ...] = ()
    last_practised: date | None = None
    needs_until: Mapping[int, date] = field(default_factory=dict)

    def lapsing(self, day: date) -> dict[int, date]:
        """The modules that come first whose sign-off is in date today and not on this day."""
        return {module: until for module, until in self.needs_until.items() if until < day}


def places(
    academy: Academy, apprentices: Sequence[int], modules: Sequence[int] | None = None
) -> dict[Pair, Place]:
    """By (apprentice id, module id): every published module, or the modules asked for."""
    facts = facts_of(academy, apprentices, modules)
    wanted = list(facts.published) if modules is None else modules
    return {
        (person, module): _place(facts, person, module)
        for person in apprentices
        for module in wanted
        if module in facts.published
    }


def place_of(academy: Academy, apprentice: Person, version: ModuleVersion) -> Place:
    """One apprentice in the module of a version: on that version where no other is published."""
    facts = facts_of(academy, [apprentice.pk], [version.module_id])
    facts.published.setdefault(version.module_id, version.pk)
    facts.versions.setdefault(version.pk, version)
    return _place(facts, apprentice.pk, version.module_id)


def _place(facts: Facts, person: int, module: int) -> Place:
    version = _version_on(facts, person, module)
    key = (person, version.pk)
    progress = facts.progress.get(key, Progress(()))
    evidence = Evidence(
        heads=facts.heads.get(key, []),
        heads_required=version.heads_required,
        evidence_months=facts.evidence_months,
        today=facts.today,
        practice_met=progress.met,
        practice_words=_practice_words(progress),
        papers_open=facts.papers.get(key, []),
        boxes_needed=facts.boxes_needed,
        days_needed=facts.days_needed,
    )
    signed = facts.signed.get((person, module))
    needs_until, open_needs = {}, []
    for needed in facts.needs.get(version.pk, []):
        first = facts.signed.get((person, needed))
        if first is not None and first.in_date_until >= facts.today:
            needs_until[needed] = first.in_date_until
        else:
            open_needs.append(needed)
    return Place(
        apprentice=person,
        module=module,
        version=version.pk,
        standing=standing(
            today=facts.today,
            signed=signed,
            evidence=evidence,
            practised=key in facts.practised,
            needs_met=not open_needs,
        ),
        evidence=evidence,
        progress=progress,
        signed=signed,
        open_needs=tuple(open_needs),
        needs_until=needs_until,
        last_practised=facts.practised.get(key),
    )


def _version_on(facts: Facts, person: int, module: int) -> ModuleVersion:
    """The edition begun and not signed off yet, else the published one."""
    published = facts.versions[facts.published[module]]
    signed = facts.signed.get((person, module))
    begun = [
        (facts.practised[person, version.pk], version)
        for version in facts.versions.values()
        if version.module_id == module and (person, version.pk) in facts.practised
    ]
    if not begun:
        return published
    day, version = max(begun, key=lambda pair: pair[0])
    if signed is not None and signed.signed_at.date() >= day and version.pk != published.pk:
        return published
    return version


def _practice_words(progress: Progress) -> str:
    if progress.met:
        return "The practice target is met."
    gaps = [
        counted_words(line.missing, line.line.unit, line.line.tag)
        for line in progress.lines
        if not line.met
    ]
    return "Practice still to do: " + "; ".join(gaps) + "."


@dataclass(frozen=True)
class ToSign:
    """An apprentice with enough heads in a module that is not signed off.

    `open` are the sentences of what is missing all the same; none where the evidence suffices.
    """

    person: Person
    version: ModuleVersion
    place: Place
    open: tuple[str, ...]


def ready_to_sign(academy: Academy, signer: Person) -> list[ToSign]:
    """Whose evidence suffices, where this assessor judged at least one of the heads."""
    return [row for row in enough_heads(academy, signer) if not row.open]


def enough_heads(academy: Academy, signer: Person) -> list[ToSign]:
    """Who has the heads for a sign-off, where this assessor judged at least one of them."""
    current = CohortPlace.objects.current().filter(cohort__academy=academy)
    people = {
        person.pk: person
        for person in Person.objects.filter(cohort_places__in=current).exclude(pk=signer.pk)
    }
    found = [
        place
        for place in places(academy, list(people)).values()
        if place.standing not in (Standing.VERIFY, Standing.COMPETENT)
        and len(place.evidence.run) >= place.evidence.heads_required
        and any(head.assessor == signer.pk for head in place.evidence.run)
    ]
    versions = ModuleVersion.objects.select_related("module").in_bulk(
        [place.version for place in found]
    )
    return [
        ToSign(people[place.apprentice], versions[place.version], place, _still_open(place))
        for place in found
    ]


def _still_open(place: Place) -> tuple[str, ...]:
    needed = conditions(place.evidence)
    return tuple(condition.sentence for condition in needed if not condition.met)
