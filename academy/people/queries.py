"""What the people pages ask for; every list in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from academy.people.models import (
    Academy,
    Cohort,
    CohortPlace,
    Invitation,
    Membership,
    Person,
    Role,
)
from academy.web.days import written_short

if TYPE_CHECKING:
    from collections.abc import Iterable

HERE, LEFT = "here", "left"


@dataclass(frozen=True)
class Head:
    """The figures over the list of members."""

    people: int
    apprentices: int
    staff: int
    invited: int


@dataclass(frozen=True)
class Place:
    """One academy that somebody works in, and their roles there."""

    academy: Academy
    roles: tuple[Role, ...]


def members_of(academy: Academy) -> QuerySet[Person]:
    """Everybody who holds or held a role in the academy."""
    theirs = Membership.objects.filter(academy=academy, person=OuterRef("pk"))
    return Person.objects.filter(Exists(theirs))


def found_members(
    academy: Academy, *, words: str = "", role: str = "", cohort: Cohort | None = None, state: str
) -> QuerySet[Person]:
    """Members by part of a name or address, role, cohort and whether they are still here."""
    held = Membership.objects.filter(academy=academy, person=OuterRef("pk"))
    if role:
        held = held.filter(role=role)
    people = members_of(academy)
    if state == LEFT:
        people = people.filter(Exists(held)).exclude(Exists(_here(academy)))
    else:
        people = people.filter(Exists(held.current()))
    for word in words.split():
        people = people.filter(Q(name__icontains=word) | Q(email__icontains=word))
    if cohort:
        places = CohortPlace.objects.filter(cohort=cohort, person=OuterRef("pk"))
        people = people.filter(Exists(places if state == LEFT else places.current()))
    return people.order_by("name", "pk")


def for_member_list(people: QuerySet[Person], academy: Academy) -> QuerySet[Person]:
    """With memberships and places in this academy as `held` and `placed`; two queries more."""
    memberships = Membership.objects.filter(academy=academy).order_by("since", "pk")
    places = CohortPlace.objects.current().filter(cohort__academy=academy).select_related("cohort")
    return people.prefetch_related(
        Prefetch("memberships", memberships, to_attr="held"),
        Prefetch("cohort_places", places, to_attr="placed"),
    )


def head_of(academy: Academy) -> Head:
    """Two queries."""
    apprentice = Q(role=Role.APPRENTICE)
    counts = (
        Membership.objects.current()
        .filter(academy=academy)
        .aggregate(
            people=Count("person", distinct=True),
            apprentices=Count("person", filter=apprentice, distinct=True),
            staff=Count("person", filter=~apprentice, distinct=True),
        )
    )
    invited = Invitation.objects.open().filter(academy=academy).count()
    return Head(**counts, invited=invited)


def places_of(person: Person) -> list[Place]:
    """Where somebody works today, by the academy's name; one query."""
    rows = (
        Membership.objects.current()
        .filter(person=person)
        .select_related("academy")
        .order_by("academy__name")
    )
    held: dict[Academy, set[str]] = {}
    for row in rows:
        held.setdefault(row.academy, set()).add(row.role)
    return [
        Place(academy, tuple(role for role in Role if role.value in roles))
        for academy, roles in held.items()
    ]


def whom_to_ask(person: Person) -> list[tuple[str, str]]:
    """(academy, manager) wherever somebody once worked; for those who hold no role now."""
    academies = Membership.objects.filter(person=person).values("academy")
    managers = (
        Membership.objects.current()
        .filter(academy__in=academies, role=Role.MANAGER)
        .exclude(person=person)
        .select_related("academy", "person")
        .order_by("academy__name", "person__name")
    )
    return [(row.academy.name, row.person.name) for row in managers]


def apprentices_without_place(academy: Academy) -> QuerySet[Person]:
    """Who can be put into a cohort: apprentices of today with no place today or later."""
    apprentice = _here(academy).filter(role=Role.APPRENTICE)
    places = CohortPlace.objects.open().filter(cohort__academy=academy, person=OuterRef("pk"))
    people = Person.objects.filter(Exists(apprentice)).exclude(Exists(places))
    return people.order_by("name", "pk")


def educators_of(academy: Academy) -> QuerySet[Person]:
    educator = _here(academy).filter(role=Role.EDUCATOR)
    return Person.objects.filter(Exists(educator)).order_by("name", "pk")


def places_in(cohort: Cohort) -> tuple[list[CohortPlace], list[CohortPlace]]:
    """Places of today or later, and those that ended, each by name; one query."""
    today = timezone.localdate()
    rows: Iterable[CohortPlace] = cohort.places.select_related("person").order_by("person__name")
    now: list[CohortPlace] = []
    past: list[CohortPlace] = []
    for row in rows:
        (past if row.until and row.until < today else now).append(row)
    return now, past


def places_words(places: Iterable[CohortPlace]) -> str:
    """The places of today and later in their order: "Plover until 29 Nov, then Sandpiper"."""
    words: list[str] = []
    today = timezone.localdate()
    for place in places:
        later = not words and place.since > today
        since = f" from {written_short(place.since)}" if later else ""
        until = f" until {written_short(place.until)}" if place.until else ""
        words.append(f"{place.cohort.name}{since}{until}")
    return ", then ".join(words)


def _here(academy: Academy) -> QuerySet[Membership]:
    return Membership.objects.current().filter(academy=academy, person=OuterRef("pk"))
