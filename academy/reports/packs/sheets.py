"""The readable part of a pack: result sheets, the sign-off, the certificate."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any

from django.utils.text import slugify

from academy.assessment.blind import withheld
from academy.assessment.models import Assessment, SignOff
from academy.assessment.result_page import ResultPage
from academy.assessment.rules import may_see_both_marks
from academy.reports.packs.proofs import as_json
from academy.web.paper import self_contained

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.awards.models import Certificate
    from academy.people.models import Person
    from academy.reports.packs.proofs import Files


def assessments_of(ids: Iterable[int], person: Person) -> list[Assessment]:
    """The submitted sheets among these that this person may see whole, in the order of days."""
    rows = Assessment.objects.filter(pk__in=list(ids))
    academy = rows.first().academy if rows else None  # type: ignore[union-attr]
    if academy is None:
        return []
    seen = Assessment.objects.visible_to(person, academy).filter(
        pk__in=[row.pk for row in rows], state=Assessment.State.SUBMITTED
    )
    found = seen.for_result().order_by("submitted_at", "pk")
    # Until it is decided the apprentice reads that somebody looks, not at what.
    return [row for row in found if not withheld(row, person)]


def with_both_marks(sheets: list[Assessment], person: Person) -> list[Assessment]:
    """These sheets, each with the other mark of the same head where this person may compare them.

    A decision on a head that was marked twice rests on both marks, and on the ruling.
    """
    wanted = {row.pk for row in sheets}
    for row in sheets:
        first = row.second_of or row
        if first.second is not None and may_see_both_marks(person, row):
            wanted |= {first.pk, first.second.pk}
    return assessments_of(wanted, person) if len(wanted) > len(sheets) else sheets


def sheet_page(assessment: Assessment, reader: Person) -> ResultPage:
    """The sheet as this person reads it: the apprentice the mark that stands, staff each mark."""
    return ResultPage(assessment, standing=reader.pk == assessment.apprentice_id)


def sheet_files(number: int, page: ResultPage, *, staff: bool) -> Files:
    """One result sheet: drawings, levels as a table, everything else as JSON, photos."""
    assessment, folder = page.assessment, f"sheets/{number}"
    files = {
        f"{folder}/sheet.json": as_json(_sheet(page, staff=staff)),
        f"{folder}/levels.csv": _levels(page),
    }
    head = page.head
    for view in head.views if head else ():
        name = slugify(str(view.title))
        files[f"{folder}/head-{name}.svg"] = self_contained(str(view.svg)).encode()
    for place, photo in enumerate(assessment.photos.all(), 1):
        with photo.file.open("rb") as kept:
            files[f"{folder}/photo-{place}.jpg"] = kept.read()
    return files


def sign_off_facts(row: SignOff, *, staff: bool) -> dict[str, Any]:
    """What was signed, and what verifiers made of it; their words are for staff."""
    checks = [
        {
            "verifier": check.verifier.name,
            "at": check.at.isoformat(),
            "result": check.result,
            **({"text": check.text} if staff else {}),
        }
        for check in row.verifications.select_related("verifier")
    ]
    return {
        "token": row.token,
        "apprentice": row.apprentice.name,
        "module": row.module_version.title,
        "version": row.module_version.number,
        "assessor": row.assessor.name,
        "signed_at": row.signed_at.isoformat(),
        "in_date_until": row.in_date_until.isoformat(),
        "method": row.method,
        "statements": ["valid", "sufficient", "authentic", "current"],
        "rule_set": _rules(row),
        "verifications": checks,
    }


def certificate_facts(row: Certificate, *, staff: bool) -> dict[str, Any]:
    """What the paper says, and what happened to it; reasons are for staff."""
    return {
        "token": row.token,
        "number": row.number,
        "holder": row.holder_name,
        "award": row.award_title,
        "modules": row.modules,
        "issued_on": row.issued_on.isoformat(),
        "valid_until": row.valid_until.isoformat(),
        "events": [
            {
                "kind": event.kind,
                "at": event.at.isoformat(),
                **({"reason": event.reason} if staff else {}),
            }
            for event in row.events.all()
        ],
    }


def _sheet(page: ResultPage, *, staff: bool) -> dict[str, Any]:
    row, marked, outcome = page.assessment, page.marked, page.outcome
    stop = getattr(marked, "stop_event", None)
    return {
        "token": row.token,
        "apprentice": row.apprentice.name,
        "assessor": page.judged_by,
        "module": row.module_version.title,
        "version": row.module_version.number,
        "kind": row.kind,
        "second_of": row.second_of.token if row.second_of else None,
        "submitted_at": marked.submitted_at.isoformat() if marked.submitted_at else None,
        "minutes_used": marked.minutes_used,
        "overall": marked.overall,
        "verdict": str(page.verdict),
        "by_marks": outcome.by_marks,
        "head_mark": str(outcome.head_mark) if outcome.head_mark is not None else None,
        "pass_line": str(outcome.pass_line),
        "near_band": str(outcome.near_band),
        "ruling": _ruling(page, staff=staff),
        "reasons": [str(reason) for reason in page.reasons],
        "rules_and_figures": outcome.figures,
        # By whose submission, as the entries name it, `check.py` compares figures and photos.
        "submissions": {"figures": marked.pk, "photos": row.pk},
        "rule_set": _rules(row),
        "stop_event": {"event": stop.event, "note": stop.note} if stop else None,
        "zones_left_out": [[str(zone), reason] for zone, reason in page.left_out],
        "faults": [
            {
                "number": mark.number,
                "fault": str(mark.words),
                "zone": mark.zone,
                "azimuth_deg": str(mark.azimuth_deg),
                "elevation_deg": str(mark.elevation_deg),
                "note": mark.note,
            }
            for mark in page.faults
        ],
        "feedback": [
            {
                "seen": [point.seen_zone, point.seen_what],
                "against": [point.against_criterion, point.against_level],
                "why": point.why,
                "next": [point.next_action, point.next_number, point.next_on],
            }
            for point in page.feedback
        ],
    }


def _ruling(page: ResultPage, *, staff: bool) -> dict[str, Any] | None:
    """What a verifier ruled where the two marks differ, with the reason; by whom is for staff."""
    ruling = page.ruling
    if ruling is None:
        return None
    return {
        "decision": ruling.decision,
        "reason": ruling.reason,
        "at": ruling.at.isoformat(),
        **({"verifier": ruling.verifier.name} if staff else {}),
    }


def _rules(row: Assessment | SignOff) -> dict[str, Any] | None:
    if row.rule_set is None:
        return None
    return {"number": row.rule_set.number, "rules": row.rule_set.rules}


def _levels(page: ResultPage) -> bytes:
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow(["criterion", "text", "weight", "must pass", "zone", "level", "level text"])
    for zones, rows in (
        ([""], page.head_rows),
        ([zone.value for zone in page.judged], page.zone_rows),
    ):
        for row in rows:
            criterion = row.criterion
            fixed = [criterion.code, criterion.title, criterion.weight, criterion.must_pass]
            for zone, level in zip(zones, row.cells, strict=True):
                given = ["", ""] if level is None else [level, criterion.levels[level]]
                writer.writerow([*fixed, zone, *given])
    return table.getvalue().encode()
