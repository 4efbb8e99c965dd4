"""A site whose process is killed at a statement: `killed.py POINTS`, for test_killed.

It makes a database of its own, warms up, and forks for each point: the child does a deed and is
killed by SIGKILL at that statement; the parent looks at what is left. Prints a line of JSON.
"""

# Django can only be imported once it has its settings.
# ruff: noqa: PLC0415, T201
from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from academy.people.models import Person

# Kill before every statement, also those that no cursor shows: the transaction's own.
KILLED, ENDED, TROUBLE = "killed", "ended", "trouble"


@dataclass
class Deed:
    """What is done for one apprentice, and how far it is: 0 nothing, 1 all, else in between."""

    name: str
    do: Callable[[int], Any]
    how_far: Callable[[int], float]


class Countdown:
    """Kills this process when so many statements were begun."""

    def __init__(self, left: int) -> None:
        self.left = left

    def __call__(self, *_: object) -> None:
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)


def configure() -> None:
    import django
    from django.conf import settings

    django.setup()
    # A pool has threads, which do not live through a fork.
    options: dict[str, Any] = settings.DATABASES["default"]["OPTIONS"]  # type: ignore[assignment]
    options.pop("pool", None)


def listen(count: Countdown) -> None:
    """Let every statement of this process's connection be counted."""
    from django.db import connections

    connection = connections["default"]
    connection.ensure_connection()
    if connection.vendor == "sqlite":
        connection.connection.set_trace_callback(count)
        return
    import psycopg

    cursors: Any = psycopg.Cursor
    wrapper: Any = type(connection)
    execute = cursors.execute
    commit = wrapper._commit

    def counted(cursor: Any, *args: Any, **kwargs: Any) -> Any:
        count()
        return execute(cursor, *args, **kwargs)

    def counted_commit(self: Any) -> None:
        count()
        commit(self)

    cursors.execute = counted
    wrapper._commit = counted_commit


def kill_at(point: int, deed: Deed, row: int) -> str:
    """Do the deed in a child that is killed at its statement `point`; how the child ended."""
    from django.db import connections

    connections.close_all()
    child = os.fork()
    if child == 0:
        try:
            listen(Countdown(point))
            deed.do(row)
        except BaseException as error:  # noqa: BLE001  (the child must end here)
            print(f"{deed.name} at {point}: {error!r}", file=sys.stderr)
            os._exit(1)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return KILLED
    return TROUBLE if os.WEXITSTATUS(status) else ENDED


def deeds(people: int) -> tuple[list[Deed], int]:  # noqa: C901  (three deeds and how far each is)
    """An academy in which each deed can be done for so many apprentices, by their numbers."""
    from django.core.management import call_command

    from academy.assessment.models import Assessment, Mark, SignOff
    from academy.assessment.services.scoring import set_level
    from academy.assessment.services.signing import Ticks, sign_off
    from academy.assessment.services.submitting import submit
    from academy.audit.models import Entry
    from academy.people.models import Role
    from tests.site import factories, making

    call_command("migrate", verbosity=0)
    academy = factories.AcademyFactory(slug="larkmere")
    educator, assessor = factories.PersonFactory(), factories.PersonFactory()
    for role, person in ((Role.EDUCATOR, educator), (Role.ASSESSOR, assessor)):
        factories.MembershipFactory(academy=academy, person=person, role=role)
    version = making.publish(academy, educator, "hygiene")
    other, third = (making.publish(academy, educator, key) for key in ("mixing", "slices"))
    apprentices: list[Person] = []
    drafts: list[int] = []
    whole: list[int] = []
    for _ in range(people):
        person = factories.PersonFactory()
        factories.MembershipFactory(academy=academy, person=person, role=Role.APPRENTICE)
        making.judged_head(version, assessor, person)
        for module, kept in ((other, drafts), (third, whole)):
            draft = making.draft_head(module, assessor, person)
            making.mark_all(draft, level=3, overall=4)
            kept.append(draft.pk)
        apprentices.append(person)

    def head(pk: int) -> Assessment:
        return Assessment.objects.for_scoring().get(pk=pk)

    def touch(row: int) -> None:
        criterion = other.criteria.get(code="A1")
        set_level(assessment=head(drafts[row]), by=assessor, criterion=criterion, zone="", level=4)

    def touched(row: int) -> float:
        level = Mark.objects.get(assessment=drafts[row]).level == 4
        counted = head(drafts[row]).revision == begun[row] + 1
        return (level + counted) / 2

    def hand_in(row: int) -> None:
        submit(assessment=head(whole[row]), by=assessor, points=[making.full_boxes()])

    def handed_in(row: int) -> float:
        found = head(whole[row])
        told = Entry.objects.filter(action="assessment.assessment.submitted", subject_id=found.pk)
        parts = (
            found.state == Assessment.State.SUBMITTED,
            hasattr(found, "outcome"),
            found.feedback.exists(),
            told.exists(),
        )
        return sum(parts) / len(parts)

    def sign(row: int) -> None:
        sign_off(
            academy=academy,
            assessor=assessor,
            apprentice=apprentices[row],
            version=version,
            ticks=Ticks(valid=True, sufficient=True, authentic=True, current=True),
            method=SignOff.Method.PASSWORD,
        )

    def signed(row: int) -> float:
        found = SignOff.objects.filter(apprentice=apprentices[row])
        told = Entry.objects.filter(action="assessment.signoff.given", about_id=apprentices[row].pk)
        parts = found.exists(), found.filter(named__isnull=False).exists(), told.exists()
        return sum(parts) / len(parts)

    begun = [head(pk).revision for pk in drafts]
    return [
        Deed("sign off", sign, signed),
        Deed("save a mark", touch, touched),
        Deed("submit", hand_in, handed_in),
    ], academy.pk


def statements(deed: Deed, row: int) -> int:
    """How many statements the deed takes, counted in a child that does it."""
    from django.db import connections

    connections.close_all()
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        count = Countdown(0)
        listen(count)
        deed.do(row)
        os.write(writes, str(-count.left).encode())
        os._exit(0)
    os.waitpid(child, 0)
    os.close(writes)
    with os.fdopen(reads) as told:
        return int(told.read())


def places(last: int, times: int) -> list[int]:
    """So many statements to be killed at, spread over all; at last one that never comes."""
    end = 2 * last
    if times > last:
        return [*(1 + number % last for number in range(times - 1)), end]
    return [*(1 + number * (last - 1) // (times - 2) for number in range(times - 1)), end]


def main(points: int) -> None:
    configure()
    from academy.audit.verifying import verify_chain

    # A deed that was done whole is not done again: the next apprentice's turn comes then.
    found, academy = deeds(5 + points // (6 if points > 100 else 15))
    ends: dict[str, list[str]] = {deed.name: [] for deed in found}
    wrong = []
    for deed in found:
        row = 1
        for at in places(statements(deed, 0), points // len(found)):
            end = kill_at(at, deed, row)
            how_far = deed.how_far(row)
            ends[deed.name].append(f"{end} {how_far:g}")
            broken = verify_chain(academy).broken
            whole = how_far == 1 if end == ENDED else how_far in {0, 1}
            if end == TROUBLE or not whole or broken:
                wrong.append(f"{deed.name} at statement {at}: {end} {how_far} {broken}")
            row = row + 1 if how_far else row
    print(json.dumps({"ends": ends, "wrong": wrong}))


if __name__ == "__main__":
    main(int(sys.argv[1]))
