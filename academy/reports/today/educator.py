"""Who needs what from me this week, and what is the cohort getting wrong?"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.urls import reverse
from django.utils import timezone

from academy.assessment.models import Booking
from academy.assessment.results import Standing
from academy.craft.measure import counted
from academy.exercises.models import Paper
from academy.exercises.queries.lists import paper_people
from academy.people.models import Cohort
from academy.practice.models import PracticeSession
from academy.reports.cohorts import Losses, Matrix, assessed_modules, losses, matrix, members
from academy.reports.today.after import educator_needs
from academy.reports.today.need import Need, oldest_first, spelt
from academy.web.days import written

if TYPE_CHECKING:
    from academy.curriculum.models import Module
    from academy.people.acting import Acting
    from academy.people.models import Person

IDLE_DAYS = 14
MOST_NAMES = 2
# How many of a kind of need read: one, several.
KINDS = {
    "asked": ("head asked for and not booked", "heads asked for and not booked"),
    "expired": ("module expired", "modules expired"),
    "idle": ("apprentice without practice", "apprentices without practice"),
    "plan": ("action plan running", "action plans running"),
    "write": ("action plan to write", "action plans to write"),
    "task": ("task past its day", "tasks past their day"),
    "paper": ("paper not handed in by all", "papers not handed in by all"),
}


@dataclass(frozen=True)
class Page:
    cohorts: list[Cohort]
    cohort: Cohort | None
    people: list[Person]
    needs: list[Need]
    matrix: Matrix
    losses: Losses | None
    loss_modules: list[tuple[Module, str, int]]
    sessions_7_days: int
    ready: int
    unconfirmed: int

    @property
    def answer(self) -> str:
        """The heading: how many people need something."""
        count = len({name for need in self.needs for name in need.people or (need.who,)})
        if not count:
            return "Nobody needs anything from you this week"
        noun = "person needs" if count == 1 else "people need"
        return f"{spelt(count)} {noun} something from you this week"

    @property
    def lead(self) -> str:
        """The kinds of need, most first."""
        kinds = Counter(need.kind for need in self.needs)
        parts = [counted(count, *KINDS[kind]) for kind, count in kinds.most_common()]
        return f"{', '.join(parts)}." if parts else ""


def page(acting: Acting, cohort_token: str = "", module_token: str = "") -> Page:
    """The educator's own cohorts first; another of the academy's may be chosen."""
    cohorts, cohort = chosen_cohort(acting, cohort_token)
    people = members(cohort) if cohort else []
    table = matrix(acting.academy, people)
    modules = assessed_modules(acting.academy, people)
    chosen = next(
        (m for m in modules if m[0].token == module_token), modules[0] if modules else None
    )
    week_ago = timezone.now() - timedelta(days=7)
    sessions = PracticeSession.objects.filter(academy=acting.academy, apprentice__in=people)
    unconfirmed = PracticeSession.objects.filter(
        academy=acting.academy,
        supervisor=acting.person,
        confirmation__isnull=True,
        taken_back_at__isnull=True,
    ).count()
    return Page(
        cohorts=cohorts,
        cohort=cohort,
        people=people,
        needs=oldest_first(_needs(acting, cohort, people, table), timezone.localdate()),
        matrix=table,
        losses=losses(acting.academy, people, chosen[0], chosen[1]) if chosen else None,
        loss_modules=modules,
        sessions_7_days=sessions.counted().filter(started_at__gte=week_ago).count(),
        ready=sum(cell.standing is Standing.READY for row in table.rows for cell in row.cells),
        unconfirmed=unconfirmed,
    )


def chosen_cohort(acting: Acting, token: str) -> tuple[list[Cohort], Cohort | None]:
    """The academy's cohorts, one's own and running ones first, and the one asked for."""
    cohorts = _cohorts(acting)
    first = cohorts[0] if cohorts else None
    return cohorts, next((cohort for cohort in cohorts if cohort.token == token), first)


def _cohorts(acting: Acting) -> list[Cohort]:
    today = timezone.localdate()
    found = list(Cohort.objects.filter(academy=acting.academy).prefetch_related("educators"))
    return sorted(
        found,
        key=lambda cohort: (
            acting.person not in cohort.educators.all(),
            bool(cohort.ends_on and cohort.ends_on < today),
            -cohort.starts_on.toordinal(),
        ),
    )


def _needs(
    acting: Acting, cohort: Cohort | None, people: list[Person], table: Matrix
) -> list[Need]:
    if cohort is None:
        return []
    bookings = {
        (booking.apprentice_id, booking.module_version.module_id): booking
        for booking in Booking.objects.filter(
            academy=acting.academy,
            apprentice__in=people,
            state__in=[Booking.State.ASKED, Booking.State.BOOKED],
        ).select_related("module_version", "assessor")
    }
    last = {
        person: max((c.last_practised for c in row.cells if c.last_practised), default=None)
        for row in table.rows
        for person in [row.person]
    }
    needs = _module_needs(acting, table, bookings)
    needs += _idle_needs(acting, last)
    needs += educator_needs(acting, people, table)
    needs += _paper_needs(acting, cohort, people)
    return needs


def _module_needs(
    acting: Acting, table: Matrix, bookings: dict[tuple[int, int], Booking]
) -> list[Need]:
    slug, needs = acting.academy.slug, []
    for row in table.rows:
        for column, cell in zip(table.columns, row.cells, strict=True):
            booking = bookings.get((row.person.pk, column.module.pk))
            url = reverse(
                "reports:standing",
                kwargs={
                    "academy": slug,
                    "person": row.person.token,
                    "module": column.module.token,
                },
            )
            if booking is not None and booking.state == Booking.State.ASKED:
                needs.append(
                    Need(
                        row.person.name,
                        "ready",
                        f"{column.title}: asked to be assessed",
                        "No assessor is booked.",
                        "Book assessor",
                        reverse(
                            "assessment:booking-detail",
                            kwargs={"academy": slug, "token": booking.token},
                        ),
                        since=timezone.localdate(booking.asked_at),
                        kind="asked",
                        who_url=url,
                    )
                )
            elif cell.standing is Standing.EXPIRED and cell.signed is not None:
                needs.append(
                    Need(
                        row.person.name,
                        "expired",
                        f"{column.title} expired {written(cell.signed.in_date_until)}",
                        "Has to be assessed again before it counts for anything.",
                        "See evidence",
                        url,
                        since=cell.signed.in_date_until,
                        kind="expired",
                        who_url=url,
                    )
                )
    return needs


def _idle_needs(acting: Acting, last: dict[Person, date | None]) -> list[Need]:
    today, needs = timezone.localdate(), []
    for person, day in last.items():
        if day is None or (today - day).days < IDLE_DAYS:
            continue
        url = reverse(
            "reports:progress", kwargs={"academy": acting.academy.slug, "token": person.token}
        )
        needs.append(
            Need(
                person.name,
                "practising",
                f"No practice logged for {counted((today - day).days, 'day')}",
                f"Last session {written(day)}.",
                "See progress",
                url,
                since=day,
                kind="idle",
                who_url=url,
            )
        )
    return needs


def _paper_needs(acting: Acting, cohort: Cohort, people: list[Person]) -> list[Need]:
    today = timezone.localdate()
    papers = Paper.objects.filter(
        academy=acting.academy, cohort=cohort, due_on__lt=today, withdrawn_at__isnull=True
    ).filter(due_on__gte=today - timedelta(days=60))
    rows, needs = paper_people(list(papers)), []
    for paper in papers:
        open_people = [person for person in people if rows.waits_for(paper, person)]
        if open_people:
            needs.append(
                Need(
                    _names(open_people),
                    "missing",
                    f"Paper “{paper.title}” not handed in",
                    f"Was due {written(paper.due_on or today)}.",
                    "See paper",
                    reverse(
                        "exercises:paper-detail",
                        kwargs={"academy": acting.academy.slug, "token": paper.token},
                    ),
                    since=paper.due_on,
                    kind="paper",
                    people=tuple(person.name for person in open_people),
                )
            )
    return needs


def _names(people: list[Person]) -> str:
    """At most two names, then how many more."""
    names = ", ".join(person.name for person in people[:MOST_NAMES])
    more = len(people) - MOST_NAMES
    return f"{names} and {more} more" if more > 0 else names
