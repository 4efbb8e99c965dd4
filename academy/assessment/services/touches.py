"""Touches that come from a device's outbox: kept once, in order, never over something newer."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.errors import AssessmentError
from academy.assessment.mark_text import FAULT, MarkText
from academy.assessment.services import faults, scoring
from academy.assessment.services.touching import AlreadyKeptError, StaleError
from academy.assessment.standing import LEVEL, ZONE, criterion_of, level_place
from academy.web.tokens import TOKEN_PATTERN

if TYPE_CHECKING:
    from academy.assessment.models import Assessment
    from academy.assessment.services.touching import Sent
    from academy.people.models import Person


@dataclass(frozen=True)
class Told:
    """What became of a touch: "kept", "stale" (`words`: what stands) or "refused" (why)."""

    key: str
    state: str
    words: str = ""


def keep_touch(*, assessment: Assessment, by: Person, sent: Sent) -> Told:
    """Keep one touch, unless it was kept before or something newer stands there."""
    try:
        _keep(assessment, by, sent)
    except AlreadyKeptError:
        return Told(sent.key, "kept")
    except StaleError as stale:
        return Told(sent.key, "stale", stale.stands)
    except AssessmentError as refused:
        return Told(sent.key, "refused", refused.message)
    return Told(sent.key, "kept")


def _keep(assessment: Assessment, by: Person, sent: Sent) -> None:
    if sent.place == "overall":
        rating = _number(sent.value)
        scoring.set_overall(assessment=assessment, by=by, rating=rating or 0, sent=sent)
    elif sent.place == "note":
        scoring.set_note(assessment=assessment, by=by, note=sent.value, sent=sent)
    elif sent.place == "minutes_used":
        scoring.set_minutes(assessment=assessment, by=by, minutes=_minutes(sent.value), sent=sent)
    elif sent.place.startswith(ZONE):
        _keep_zone(assessment, by, sent)
    elif sent.place.startswith(FAULT):
        _keep_fault(assessment, by, sent)
    elif sent.place.startswith(LEVEL):
        _keep_level(assessment, by, sent)
    else:
        raise AssessmentError("This place is not on the head. Open the head once more.")


def _keep_zone(assessment: Assessment, by: Person, sent: Sent) -> None:
    zone = sent.place.removeprefix(ZONE)
    if sent.value.strip():
        scoring.leave_zone_out(
            assessment=assessment, by=by, zone=zone, reason=sent.value, sent=sent
        )
    else:
        scoring.take_zone_in(assessment=assessment, by=by, zone=zone, sent=sent)


def _keep_fault(assessment: Assessment, by: Person, sent: Sent) -> None:
    key = sent.place.removeprefix(FAULT)
    if not sent.value:
        faults.drop_mark(assessment=assessment, by=by, key=key, sent=sent)
        return
    text = MarkText.read(sent.value)
    if text is None or not re.fullmatch(TOKEN_PATTERN, key):
        raise AssessmentError("This mark was not read. Mark the fault once more.")
    faults.keep_mark(assessment=assessment, by=by, key=key, text=text, sent=sent)


def _keep_level(assessment: Assessment, by: Person, sent: Sent) -> None:
    code, zone = level_place(sent.place)
    criterion = criterion_of(assessment, code)
    if criterion is None:
        raise AssessmentError("This criterion does not belong to the module.")
    if not sent.value:
        scoring.clear_level(assessment=assessment, by=by, criterion=criterion, zone=zone, sent=sent)
        return
    level = _number(sent.value)
    scoring.set_level(
        assessment=assessment,
        by=by,
        criterion=criterion,
        zone=zone,
        level=-1 if level is None else level,
        sent=sent,
    )


def _minutes(text: str) -> int | None:
    if not text.strip():
        return None
    number = _number(text.strip())
    if number is None:
        raise AssessmentError("Give the minutes as a whole number, for example 55.")
    return number


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else None
