"""Inviting people from a list: e-mail, name, role, cohort, one person a line."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from itertools import chain
from typing import TYPE_CHECKING, Final

from django.db import transaction

from academy.audit.services import record
from academy.people import rules
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, Invitation, Membership, Person, Role
from academy.people.services.checks import check_cohort, check_manager, refused_twice
from academy.people.services.columns import Columns, headings
from academy.people.services.invitations import article, ask_to_send

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_LINES: Final = 500


@dataclass(frozen=True)
class Line:
    """One line that was read, with its number in the text."""

    number: int
    email: str
    name: str
    role: Role
    cohort: Cohort | None


@dataclass(frozen=True)
class BadLine:
    """Why a line cannot be used. Number 0 speaks of the whole list."""

    number: int
    reason: str


@dataclass
class Reading:
    """What a list says: the good lines and the bad ones, each in order."""

    lines: list[Line] = field(default_factory=list)
    bad: list[BadLine] = field(default_factory=list)


class BadLinesError(PeopleError):
    """At least one line cannot be used, so nothing was sent; `bad` says which and why."""

    def __init__(self, bad: list[BadLine]) -> None:
        count = "One line" if len(bad) == 1 else f"{len(bad)} lines"
        super().__init__(f"{count} cannot be used, so nobody was invited.", field="lines")
        self.bad = bad


@transaction.atomic
def invite_many(*, academy: Academy, by: Person, text: str) -> list[Invitation]:
    """Invite everybody in the list, or nobody: one bad line raises `BadLinesError`."""
    check_manager(by, academy)
    reading = read_invitations(academy, text)
    if reading.bad:
        raise BadLinesError(reading.bad)
    invitations = [
        Invitation(
            academy=academy,
            email=line.email,
            name=line.name,
            role=line.role,
            cohort=line.cohort,
            invited_by=by,
        )
        for line in reading.lines
    ]
    with refused_twice("Some of them were invited a moment ago. Look at the list.", field="lines"):
        Invitation.objects.bulk_create(invitations)
    for invitation in invitations:
        ask_to_send(invitation)
    record(
        academy_id=academy.pk,
        actor_id=by.pk,
        action="people.invitation.sent_many",
        subject=academy,
        details={"count": len(invitations), "invitations": [row.pk for row in invitations]},
    )
    return invitations


def read_invitations(academy: Academy, text: str) -> Reading:
    """Read a list without changing anything. Three queries, however long it is.

    Columns are e-mail, name, role and, for apprentices, cohort, in this order or in that of a
    first line that names them; parted by commas, semicolons or tabs. Empty lines are passed over.
    """
    reading = Reading()
    try:
        _read(text, _Standing(academy), reading)
    except _BrokenError as broken:
        reading.bad.append(
            BadLine(
                broken.number,
                "The quotation marks do not pair up. Put one before the name and one after it.",
            )
        )
    count = len(reading.lines) + len(reading.bad)
    if count > MOST_LINES:
        return Reading(bad=[BadLine(0, f"{count} lines; {MOST_LINES} fit. Send it in parts.")])
    if not count:
        reading.bad.append(BadLine(0, "There is no line with a person in it."))
    return reading


def _read(text: str, standing: _Standing, reading: Reading) -> None:
    """Put every line into `reading`; without a needed column there is nothing to read."""
    rows = _rows(text)
    first = next(rows, None)
    if first is None:
        return
    columns = headings(first[1])
    if columns:
        reading.bad += [BadLine(first[0], reason) for reason in columns.bad]
        if columns.lacking:
            return
    else:
        columns, rows = Columns(), chain([first], rows)
    seen: dict[tuple[str, Role], int] = {}
    for number, cells in rows:
        try:
            line = _line(number, columns.pick(cells), standing, seen)
        except PeopleError as refused:
            reading.bad.append(BadLine(number, refused.message))
        else:
            reading.lines.append(line)


class _BrokenError(Exception):
    """From this line on the list cannot be taken apart."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


class _Standing:
    """What the academy has already, looked up once for the whole list."""

    def __init__(self, academy: Academy) -> None:
        self.academy = academy
        self.cohorts = {
            " ".join(cohort.name.lower().split()): cohort
            for cohort in Cohort.objects.filter(academy=academy)
        }
        members = Membership.objects.current().filter(academy=academy)
        self.members = set(members.values_list("person__email", "role"))
        asked = Invitation.objects.open().filter(academy=academy)
        self.invited = {(email.lower(), role) for email, role in asked.values_list("email", "role")}

    def check(self, email: str, role: Role) -> None:
        if (email, role.value) in self.members:
            raise PeopleError(f"{email} is {article(role)} here already.")
        if (email, role.value) in self.invited:
            raise PeopleError(f"{email} has an open invitation as {role.label}.")

    def cohort(self, name: str, role: Role) -> Cohort | None:
        if not name.strip():
            return None
        if role != Role.APPRENTICE:
            raise PeopleError(f"Only apprentices have a cohort, and this is {article(role)}.")
        cohort = self.cohorts.get(" ".join(name.lower().split()))
        if cohort is None:
            raise PeopleError(f"There is no cohort “{name.strip()[:80]}” here.")
        check_cohort(cohort, self.academy)
        return cohort


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    text = text.lstrip("\ufeff")
    reader = csv.reader(
        io.StringIO(text, newline=""),
        delimiter=_parted_by(text),
        skipinitialspace=True,
        strict=True,
    )
    begun = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise _BrokenError(begun) from error
        if cells is None:
            return
        number, begun = begun, reader.line_num + 1
        if any(cell.strip() for cell in cells):
            yield number, cells


def _parted_by(text: str) -> str:
    """The mark that parts the first line which has one: semicolon, tab or comma."""
    for line in text.splitlines():
        if line.strip():
            return max(";\t,", key=line.count)
    return ","


def _line(
    number: int,
    cells: tuple[str, str, str, str],
    standing: _Standing,
    seen: dict[tuple[str, Role], int],
) -> Line:
    email, name, role, cohort = cells
    read = Line(
        number,
        rules.read_email(email),
        rules.read_name(name),
        known := rules.read_role(role),
        standing.cohort(cohort, known),
    )
    standing.check(read.email, read.role)
    earlier = seen.setdefault((read.email, read.role), number)
    if earlier != number:
        raise PeopleError(f"The same person and role as in line {earlier}.")
    return read
