"""Persons, academies, and who does what where."""

from __future__ import annotations

from academy.people.models.closed_days import ClosedDay as ClosedDay
from academy.people.models.cohorts import Cohort as Cohort, CohortPlace as CohortPlace
from academy.people.models.consents import Consent as Consent, Guardian as Guardian
from academy.people.models.invitations import Invitation as Invitation
from academy.people.models.persons import (
    Academy as Academy,
    Membership as Membership,
    Person as Person,
    Role as Role,
    held_roles_of as held_roles_of,
)
