"""Sessions as a table for a spreadsheet."""

from __future__ import annotations

import csv
from io import StringIO
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.web.words import ZONE_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.practice.models import PracticeSession

COLUMNS = (
    "day", "began", "apprentice", "module", "edition", "minutes", "units", "zones", "criteria",
    "strand checks", "past the ceiling", "supervisor", "state", "went well", "to change",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def as_csv(sessions: Iterable[PracticeSession]) -> str:
    """One line for each session, fetched `for_list`; times in the active time zone."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for session in sessions:
        writer.writerow([_safe(cell) for cell in _cells(session)])
    return out.getvalue()


def _cells(session: PracticeSession) -> tuple[str, ...]:
    began = timezone.localtime(session.started_at)
    checks = list(session.strand_checks.all())
    return (
        f"{began:%Y-%m-%d}",
        f"{began:%H:%M}",
        session.apprentice.name,
        session.module_version.title,
        str(session.module_version.number),
        str(session.minutes),
        "; ".join(done.words for done in session.units.all()),
        "; ".join(str(ZONE_WORDS[zone]) for zone in session.zones),
        "; ".join(session.criteria),
        str(len(checks)),
        "yes" if session.past_ceiling else "",
        session.supervisor.name if session.supervisor else "",
        session.state.label,
        session.went_well,
        session.to_change,
    )


def _safe(cell: str) -> str:
    """A cell that a spreadsheet would take for a formula is made text."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell
