"""What assessments come to, and whether heads suffice for a sign-off. Plain values, no database.

Source: trade.md 5.1 to 5.4 (academy rules).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from academy.craft.judging.outcome import ByMarks
from academy.craft.judging.readiness import heads_in_a_row, months_before, pass_rate_words
from academy.web.days import written

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime


class Result(StrEnum):
    """What stands for one assessed head."""

    COMPETENT = "competent"
    NOT_YET = "not_yet"
    SECOND_LOOK = "second_look"
    RULING = "ruling"
    ONE_MORE = "one_more"


@dataclass(frozen=True)
class Head:
    """One assessed head as sign-off reads it.

    `first` is by the first marks, `second` by a submitted second mark, `ruling` a verifier's
    decision ("first", "second" or "one_more") where they differ.
    """

    id: int
    assessor: int
    day: date
    first: str
    second_needed: bool
    second: str = ""
    ruling: str = ""
    feedback_boxes: int = 0
    boxes_open: tuple[str, ...] = ()

    @property
    def result(self) -> Result:
        if self.second:
            return self._of_two()
        return Result.SECOND_LOOK if self.second_needed else Result(self.first)

    @property
    def decided(self) -> bool:
        """Whether it is competent or "not yet", with no second look or ruling open."""
        return self.result in (Result.COMPETENT, Result.NOT_YET)

    def _of_two(self) -> Result:
        if self.first == self.second:
            return Result(self.first)
        if not self.ruling:
            return Result.RULING
        if self.ruling == "one_more":
            return Result.ONE_MORE
        return Result(self.first if self.ruling == "first" else self.second)


def competent_run(heads: Iterable[Head], *, today: date, months: int = 12) -> list[Head]:
    """The latest heads that are competent in a row, oldest first.

    A "not yet" ends the run; a head under a second look, a ruling or "one more" neither ends nor
    lengthens it. Evidence older than `months` does not count.
    """
    in_order = sorted(heads, key=lambda head: (head.day, head.id))
    decided = [head for head in in_order if head.decided]
    run = heads_in_a_row(ByMarks(head.result.value) for head in decided)
    oldest = months_before(today, months)
    return [head for head in decided[len(decided) - run :] if head.day >= oldest]


def in_date_until(signed_on: date, months: int) -> date:
    """The last day on which a sign-off counts."""
    return months_before(signed_on, -months)


@dataclass(frozen=True)
class Condition:
    """One thing a sign-off needs: whether it is there, and the sentence that says so.

    `heads` are the ids of the assessments at fault, where some are.
    """

    key: str
    met: bool
    sentence: str
    heads: tuple[int, ...] = ()


# What may be open while no further head is needed.
BESIDE_HEADS: Final = frozenset({"papers", "feedback"})


@dataclass(frozen=True)
class Evidence:
    """What is known when somebody asks whether a sign-off may be given."""

    heads: Sequence[Head]
    heads_required: int
    evidence_months: int
    today: date
    practice_met: bool
    practice_words: str
    papers_open: Sequence[str] = ()
    boxes_needed: int = 3
    days_needed: int = 2

    @property
    def run(self) -> list[Head]:
        """The heads the sign-off would rest on: the latest ones required."""
        return competent_run(self.heads, today=self.today, months=self.evidence_months)[
            -self.heads_required :
        ]

    @property
    def open_looks(self) -> list[Head]:
        waiting = (Result.SECOND_LOOK, Result.RULING)
        return [head for head in self.heads if head.result in waiting]

    @property
    def sign_off_waits(self) -> str:
        """What a sign-off still waits for where the heads are enough, in sentences; else empty."""
        missing = [condition for condition in conditions(self) if not condition.met]
        if not missing or not {condition.key for condition in missing} <= BESIDE_HEADS:
            return ""
        return " ".join(["The sign-off waits.", *(condition.sentence for condition in missing)])

    @property
    def pass_rate(self) -> str:
        """What the count of decided heads honestly says; empty without one."""
        decided = [head.result for head in self.heads if head.decided]
        if not decided:
            return ""
        return pass_rate_words(decided.count(Result.COMPETENT), len(decided))


def conditions(evidence: Evidence, signer: int | None = None) -> list[Condition]:
    """Everything a sign-off needs, in the order an assessor thinks of it (trade.md 5.4).

    `signer` is the assessor who would sign; None leaves the last condition out.
    """
    found = [
        _heads(evidence),
        _days(evidence),
        Condition("practice", evidence.practice_met, evidence.practice_words),
        _papers(evidence),
        _looks(evidence),
        _feedback(evidence),
    ]
    if signer is not None:
        own = any(head.assessor == signer for head in evidence.run)
        words = "You made at least one of these assessments."
        if not own:
            words = "You made none of these assessments. One of their assessors has to sign."
        found.append(Condition("signer", own, words))
    return [condition for condition in found if condition is not None]


def _heads(evidence: Evidence) -> Condition:
    have, need = len(evidence.run), evidence.heads_required
    words = f"{have} of {need} heads competent in a row."
    return Condition("heads", have >= need, words)


def _days(evidence: Evidence) -> Condition | None:
    needed = min(evidence.days_needed, evidence.heads_required)
    if needed < 2 or len(evidence.run) < evidence.heads_required:
        return None
    days = len({head.day for head in evidence.run})
    if days >= needed:
        return Condition("days", met=True, sentence=f"Assessed on {days} days.")
    on = "All on one day" if days == 1 else f"All on {days} days"
    words = f"{on}; {_NUMBERS.get(needed, needed)} days are needed."
    return Condition("days", met=False, sentence=words)


def _papers(evidence: Evidence) -> Condition:
    if evidence.papers_open:
        words = "Not passed yet: " + ", ".join(evidence.papers_open) + "."
        return Condition("papers", met=False, sentence=words)
    return Condition("papers", met=True, sentence="Every linked paper is passed.")


def _looks(evidence: Evidence) -> Condition:
    heads = tuple(head.id for head in evidence.open_looks)
    words = "No second mark or ruling is open."
    if heads:
        words = f"A second mark or ruling is open on {len(heads)} of the heads."
    return Condition("looks", not heads, words, heads)


def _feedback(evidence: Evidence) -> Condition:
    needed = evidence.boxes_needed
    thin = [head for head in evidence.run if head.feedback_boxes < needed]
    number = _NUMBERS.get(needed, str(needed))
    words = f"Feedback has at least {number} of four boxes on each head."
    if thin:
        rest = "; ".join(_thin_words(head) for head in thin)
        words = f"Feedback has fewer than {number} of four boxes on the head of {rest}."
    return Condition("feedback", not thin, words, tuple(head.id for head in thin))


def _thin_words(head: Head) -> str:
    """The day of a head with what its feedback lacks: "3 Nov 2026 (2 of 4; empty: Why, Next)"."""
    count = f"{head.feedback_boxes} of 4"
    empty = f"; empty: {', '.join(head.boxes_open)}" if head.boxes_open else ""
    return f"{written(head.day)} ({count}{empty})"


_NUMBERS = {1: "one", 2: "two", 3: "three", 4: "four"}


class Standing(StrEnum):
    """Where an apprentice stands in one module; the words and marks are in look.md section 4."""

    NOT_STARTED = "none"
    PRACTISING = "practising"
    READY = "ready"
    NOT_YET = "notyet"
    SECOND_LOOK = "second"
    HEADS_DONE = "heads"
    TO_SIGN = "sign"
    VERIFY = "verify"
    COMPETENT = "competent"
    EXPIRED = "expired"


@dataclass(frozen=True)
class Signed:
    """The latest sign-off that was not overturned."""

    id: int
    in_date_until: date
    signed_at: datetime
    clear: bool


def standing(
    *,
    today: date,
    signed: Signed | None,
    evidence: Evidence | None,
    practised: bool,
    needs_met: bool,
) -> Standing:
    """The one word for an apprentice in a module."""
    if signed is not None and signed.in_date_until < today:
        return Standing.EXPIRED
    if signed is not None:
        return Standing.COMPETENT if signed.clear else Standing.VERIFY
    if evidence is not None and evidence.heads:
        return _assessed(evidence, needs_met=needs_met)
    if evidence is not None and practised and evidence.practice_met and needs_met:
        return Standing.READY
    return Standing.PRACTISING if practised else Standing.NOT_STARTED


def _assessed(evidence: Evidence, *, needs_met: bool) -> Standing:
    missing = {condition.key for condition in conditions(evidence) if not condition.met}
    if not missing:
        return Standing.TO_SIGN
    if evidence.open_looks:
        return Standing.SECOND_LOOK
    decided = [head for head in evidence.heads if head.decided]
    last = max(decided, key=lambda head: (head.day, head.id), default=None)
    if last is not None and last.result is Result.NOT_YET:
        return Standing.NOT_YET
    if missing <= BESIDE_HEADS:
        return Standing.HEADS_DONE
    ready = evidence.practice_met and needs_met
    return Standing.READY if ready else Standing.PRACTISING
