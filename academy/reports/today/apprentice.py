"""What should I practise next, and how close am I?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from academy.assessment.models import Assessment, Booking
from academy.assessment.queries import Place, places
from academy.assessment.reading import not_acknowledged
from academy.assessment.results import Standing
from academy.awards.queries import AwardPlace, award_places
from academy.curriculum.house import rules_today
from academy.curriculum.models import ModuleVersion
from academy.exercises.models import AnswerSheet, Paper
from academy.practice.words import counted_words, kind_words
from academy.reports.today.after import apprentice_needs
from academy.reports.today.need import Need
from academy.web.days import written, written_moment, written_short

if TYPE_CHECKING:
    from academy.people.acting import Acting

# What is worth doing next: a module begun before one not begun, the nearest to its target first.
_OPEN = (Standing.PRACTISING, Standing.NOT_YET, Standing.EXPIRED)
_ORDER = (
    Standing.READY, Standing.TO_SIGN, Standing.HEADS_DONE, Standing.SECOND_LOOK, Standing.NOT_YET,
    Standing.PRACTISING, Standing.EXPIRED, Standing.VERIFY, Standing.COMPETENT,
    Standing.NOT_STARTED,
)  # fmt: skip


@dataclass(frozen=True)
class ModuleRow:
    """One module as the apprentice sees it."""

    version: ModuleVersion
    place: Place

    @property
    def why(self) -> str:
        """One line: how close it is, or what it waits for."""
        place = self.place
        if place.standing in (Standing.COMPETENT, Standing.VERIFY) and place.signed:
            return f"In date until {written(place.signed.in_date_until)}."
        if place.standing is Standing.EXPIRED and place.signed:
            return f"Expired {written(place.signed.in_date_until)}. Ask to be assessed again."
        heads = place.evidence
        parts = [place.evidence.practice_words]
        if heads.heads:
            parts.append(f"{len(heads.run)} of {heads.heads_required} heads competent in a row.")
        if place.standing is Standing.HEADS_DONE:
            parts.append(heads.sign_off_waits)
        if place.open_needs and place.standing is not Standing.NOT_STARTED:
            parts.append("May be practised; another module comes first for assessment.")
        return " ".join(parts)


@dataclass(frozen=True)
class Page:
    next_row: ModuleRow | None
    booking: Booking | None
    waiting: list[Need]
    modules: list[ModuleRow]
    awards: list[AwardPlace]

    @property
    def answer(self) -> str:
        """The heading: what to practise next."""
        row = self.next_row
        if row is None:
            return "Nothing is waiting to be practised"
        if self.booking is not None:
            title = row.version.title
            at = self.booking.at
            return f"Booked: {title}, {written_moment(at)}" if at else f"Asked: {title}"
        if row.place.standing is Standing.READY:
            return f"Ready for assessment: {row.version.title}"
        return f"Practise next: {row.version.title}"

    @property
    def lead(self) -> str:
        row = self.next_row
        if row is None:
            return "Choose a module to begin, or look at your results."
        if self.booking is not None:
            booking = self.booking
            if booking.at is None:
                return "No assessor has a time for it yet."
            return f"With {booking.assessor}, {booking.place}."
        line = row.place.progress.next_line
        if row.place.standing is Standing.READY:
            return "The practice target is met. Ask for an assessor."
        if line is None:
            return row.why
        return f"{counted_words(line.missing, line.line.unit, line.line.tag)} to go."

    @property
    def lines(self) -> list[tuple[str, int, int]]:
        """The target of the next module: what, how many were done, how many it takes."""
        row = self.next_row
        if row is None:
            return []
        return [
            (kind_words(line.line.unit, line.line.tag), line.done, line.line.count)
            for line in row.place.progress.lines
        ]


def page(acting: Acting) -> Page:
    person, academy = acting.person, acting.academy
    found = places(academy, [person.pk])
    versions = {
        version.pk: version
        for version in ModuleVersion.objects.filter(
            pk__in=[place.version for place in found.values()]
        ).select_related("module")
    }
    rows = [ModuleRow(versions[place.version], place) for place in found.values()]
    rows.sort(key=lambda row: (_ORDER.index(row.place.standing), row.version.module.position))
    next_row, bookings = _next(rows), _open_bookings(acting)
    return Page(
        next_row=next_row,
        booking=_booking_of(next_row, bookings),
        waiting=_waiting(acting, bookings),
        modules=rows,
        awards=award_places(academy, [person.pk]),
    )


def _next(rows: list[ModuleRow]) -> ModuleRow | None:
    """Ready first, then the begun module nearest to its target, then the first not begun."""
    ready = [row for row in rows if row.place.standing is Standing.READY]
    if ready:
        return ready[0]
    begun = [row for row in rows if row.place.standing in _OPEN and not row.place.progress.met]
    if begun:
        return max(begun, key=lambda row: (row.place.progress.share, -row.version.module.position))
    fresh = [
        row
        for row in rows
        if row.place.standing is Standing.NOT_STARTED and not row.place.open_needs
    ]
    return fresh[0] if fresh else None


def _booking_of(row: ModuleRow | None, bookings: list[Booking]) -> Booking | None:
    """The open booking of the module that is ready, if there is one."""
    if row is None or row.place.standing is not Standing.READY:
        return None
    module = row.version.module_id
    return next((b for b in bookings if b.module_version.module_id == module), None)


def _waiting(acting: Acting, bookings: list[Booking]) -> list[Need]:
    asked = [_booking(acting, row) for row in bookings]
    return [*asked, *_results(acting), *apprentice_needs(acting), *_papers(acting)]


def _open_bookings(acting: Acting) -> list[Booking]:
    rows = Booking.objects.open().filter(academy=acting.academy, apprentice=acting.person)
    return list(rows.select_related("module_version", "assessor"))


def _booking(acting: Acting, row: Booking) -> Need:
    url = reverse(
        "assessment:booking-detail", kwargs={"academy": acting.academy.slug, "token": row.token}
    )
    title = row.module_version.title
    if row.at is None:
        return Need(title, "ready", "Asked to be assessed", "Not booked yet.", "See", url)
    words = written_moment(row.at)
    return Need(title, "ready", words, f"With {row.assessor}, {row.place}.", "See", url)


def _results(acting: Acting) -> list[Need]:
    """Sheets to read within their days, and for as long those that were withdrawn."""
    days = int(rules_today(acting.academy).number("judging", what="acknowledge_days"))
    today = timezone.localdate()
    rows = (
        Assessment.objects.filter(
            academy=acting.academy,
            apprentice=acting.person,
            state=Assessment.State.SUBMITTED,
            kind=Assessment.Kind.FIRST,
        )
        .filter(
            Q(acknowledgement__isnull=True, withdrawal__isnull=True)
            | Q(withdrawal__at__gte=timezone.now() - timedelta(days=days))
        )
        .for_list()
    )
    return [_result(acting, row) for row in rows if not not_acknowledged(row, days, today)]


def _result(acting: Acting, row: Assessment) -> Need:
    url = reverse(
        "assessment:result-detail", kwargs={"academy": acting.academy.slug, "token": row.token}
    )
    title = row.module_version.title
    if row.withdrawn:
        why = "It was submitted by mistake and counts nowhere."
        return Need(title, "withdrawn", "A result was withdrawn", why, "Read why", url)
    when = f"Of {written_short(row.submitted_at)}. " if row.submitted_at else ""
    why = f"{when}Read it and say that you have."
    return Need(title, "missing", "A result to read", why, "Read result", url)


def _papers(acting: Acting) -> list[Need]:
    handed_in = AnswerSheet.objects.filter(
        apprentice=acting.person, submitted_at__isnull=False
    ).values("paper")
    rows = (
        Paper.objects.visible_to(acting.person, acting.academy)
        .not_closed()
        .filter(cohort__places__in=acting.person.cohort_places.current())
        .exclude(pk__in=handed_in)
        .order_by("due_on")[:5]
    )
    return [
        Need(
            row.title,
            "missing",
            f"Due {written_short(row.due_on)}" if row.due_on else "No due date",
            "",
            "Answer",
            reverse(
                "exercises:paper-answer",
                kwargs={"academy": acting.academy.slug, "token": row.token},
            ),
        )
        for row in rows
    ]
