"""Small makers of people and academies; everything else is made through the services."""

from __future__ import annotations

from datetime import date
from typing import cast

import factory
from factory.django import DjangoModelFactory

from academy.people.models import Academy, Cohort, CohortPlace, Membership, Person, Role

PASSWORD = "tail-comb-and-foil"


class AcademyFactory(DjangoModelFactory[Academy]):
    class Meta:
        model = Academy

    slug = factory.Sequence(lambda n: f"academy-{n}")
    name = factory.Sequence(lambda n: f"Academy {n}")


class PersonFactory(DjangoModelFactory[Person]):
    class Meta:
        model = Person
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"person-{n}@example.test")
    name = factory.Sequence(lambda n: f"Person {n}")

    @factory.post_generation
    def password(self: Person, create: bool, extracted: str | None, **_: object) -> None:
        self.set_password(extracted or PASSWORD)
        if create:
            self.save()


class MembershipFactory(DjangoModelFactory[Membership]):
    class Meta:
        model = Membership

    academy = factory.SubFactory(AcademyFactory)
    person = factory.SubFactory(PersonFactory)
    role = Role.APPRENTICE


def member(academy: Academy, role: Role, **fields: object) -> Person:
    """A new person with that role in the academy."""
    person = cast("Person", PersonFactory(**fields))
    MembershipFactory(academy=academy, person=person, role=role)
    return person


class CohortFactory(DjangoModelFactory[Cohort]):
    class Meta:
        model = Cohort

    academy = factory.SubFactory(AcademyFactory)
    name = factory.Sequence(lambda n: f"Cohort {n}")
    starts_on = factory.LazyFunction(lambda: date(2026, 1, 5))


class CohortPlaceFactory(DjangoModelFactory[CohortPlace]):
    class Meta:
        model = CohortPlace

    cohort = factory.SubFactory(CohortFactory)
    person = factory.SubFactory(PersonFactory)
