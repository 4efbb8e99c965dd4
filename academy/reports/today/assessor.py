"""What is still missing on this head before I can decide?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.looking import SecondLook, second_looks
from academy.assessment.marking import marking_of
from academy.assessment.models import Assessment, Booking, Verification
from academy.assessment.queries import ToSign, ready_to_sign
from academy.assessment.verifying import actions_asked_of
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import missing
from academy.craft.measure import counted
from academy.reports.today.need import spelt

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from academy.people.acting import Acting


@dataclass(frozen=True)
class Draft:
    """An open draft and what it still needs."""

    assessment: Assessment
    open_levels: int
    no_rating: bool

    @property
    def words(self) -> str:
        parts = []
        if self.open_levels:
            parts.append(f"{counted(self.open_levels, 'level')} missing")
        if self.no_rating:
            parts.append("overall rating missing")
        return ", ".join(parts) if parts else "everything is marked"


@dataclass(frozen=True)
class Page:
    drafts: list[Draft]
    booked: list[Booking]
    asked: list[Booking]
    to_sign: list[ToSign]
    today: datetime
    looks: list[SecondLook]
    free_looks: int
    actions: list[Verification]

    @property
    def answer(self) -> str:
        """The heading: what is missing on the open head, else what comes next."""
        if self.drafts:
            draft = self.drafts[0]
            return f"{draft.assessment.apprentice}: {draft.words}"
        if self.booked:
            booking = self.booked[0]
            return f"Next: {booking.apprentice}, {booking.module_version.title}"
        if self.to_sign:
            return f"{spelt(len(self.to_sign))} to sign off"
        if self.looks:
            many = "mark" if len(self.looks) == 1 else "marks"
            return f"{spelt(len(self.looks))} second {many} to give"
        return "No head is waiting for you"

    @property
    def lead(self) -> str:
        """What else waits; what the heading counts is not said twice."""
        parts = []
        named = self.drafts or self.booked
        if self.booked:
            parts.append(f"{counted(len(self.booked), 'head')} booked with you.")
        if self.to_sign and named:
            parts.append(f"{len(self.to_sign)} ready for sign-off.")
        if self.looks and (named or self.to_sign):
            parts.append(f"{counted(len(self.looks), 'second mark')} to give.")
        if self.free_looks:
            many = counted(self.free_looks, "second mark")
            parts.append(f"{many} that nobody has yet: you may take one.")
        if self.actions:
            parts.append(f"{counted(len(self.actions), 'action')} asked of you.")
        if self.asked:
            parts.append(f"{len(self.asked)} asked for and not booked.")
        return " ".join(parts)


def page(acting: Acting) -> Page:
    academy, person = acting.academy, acting.person
    drafts = _drafts(acting)
    bookings = (
        Booking.objects.filter(academy=academy)
        .exclude(apprentice=person)
        .select_related("apprentice", "module_version__module")
    )
    looks = second_looks(acting)
    return Page(
        drafts=drafts,
        booked=_not_begun(
            bookings.filter(state=Booking.State.BOOKED, assessor=person).order_by("at"), drafts
        ),
        asked=list(bookings.filter(state=Booking.State.ASKED).order_by("asked_at")[:10]),
        to_sign=ready_to_sign(academy, person),
        today=timezone.localtime(),
        looks=[look for look in looks if look.mine and look.draft is None],
        free_looks=sum(look.may_take for look in looks),
        actions=actions_asked_of(academy, person),
    )


def _not_begun(bookings: Iterable[Booking], drafts: list[Draft]) -> list[Booking]:
    """Without the heads this assessor has a first draft of, which stand above as drafts."""
    begun = {
        (row.assessment.apprentice_id, row.assessment.module_version_id)
        for row in drafts
        if row.assessment.kind == Assessment.Kind.FIRST
    }
    return [row for row in bookings if (row.apprentice_id, row.module_version_id) not in begun]


def _drafts(acting: Acting) -> list[Draft]:
    rows = (
        Assessment.objects.for_scoring()
        .filter(academy=acting.academy, assessor=acting.person, state=Assessment.State.DRAFT)
        .order_by("-changed_at")
    )
    return [_draft(row) for row in rows]


def _draft(row: Assessment) -> Draft:
    if getattr(row, "stop_event", None) is not None:
        return Draft(row, 0, no_rating=False)
    try:
        gaps = len(missing(marking_of(row)))
    except JudgingError:
        # Every zone is left out: the scoring page says so, here it just stays open.
        gaps = 0
    return Draft(row, gaps, no_rating=row.overall is None)
