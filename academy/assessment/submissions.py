"""What the record holds of a submission, and whether the rows are still that.

The entry of a submission holds the sum of the outcome's figures and of each photo. The figures
name every level, the rules and the result, so a row that was changed with its outcome shows here.
"""

from __future__ import annotations

from collections import defaultdict
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Final

from academy.assessment.models import Assessment, Outcome, Photo
from academy.audit.comparing import Compared, Unlike
from academy.audit.models import Entry
from academy.craft.proof.canonical import canonical
from academy.craft.proof.errors import ProofError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from academy.audit.models import EntryQuerySet

ACTION: Final = "assessment.assessment.submitted"
SUBJECT: Final = "assessment.assessment"
_AT_ONCE: Final = 500


def sums(figures: Any, photos: Iterable[str]) -> dict[str, Any]:
    """What an entry holds of a submission: a sum of its figures, and those of its photos."""
    return {"figures": sha256(canonical(figures)).hexdigest(), "photos": list(photos)}


def not_as_recorded(assessment: Assessment) -> list[str]:
    """In sentences, where a submitted assessment is not what its entry recorded."""
    entry = _entries(assessment.academy_id).filter(subject_id=assessment.pk).first()
    photos = [photo.sha256 for photo in assessment.photos.all()]
    return list(_differences(entry, assessment.outcome.figures, photos))


def compare_submissions(academy_id: int) -> Compared:
    """All submitted assessments of an academy against the entries of their submission."""
    rows = Assessment.objects.filter(academy=academy_id, state=Assessment.State.SUBMITTED)
    ids = list(rows.order_by("pk").values_list("pk", flat=True))
    unlike = [
        row
        for start in range(0, len(ids), _AT_ONCE)
        for row in _unlike(academy_id, ids[start : start + _AT_ONCE])
    ]
    told = _entries(academy_id).values_list("subject_id", "sequence")
    there = set(ids)
    for pk, sequence in told.iterator():
        if pk not in there:
            sentence = f"{_sheet(pk)}: entry {sequence} tells of its submission, and it is gone."
            unlike.append(Unlike((SUBJECT, pk), sequence, sentence))
    return Compared(len(ids), tuple(unlike))


def _unlike(academy_id: int, ids: list[int]) -> Iterator[Unlike]:
    figures = dict(
        Outcome.objects.filter(assessment__in=ids).values_list("assessment_id", "figures")
    )
    photos: dict[int, list[str]] = defaultdict(list)
    taken = Photo.objects.filter(assessment__in=ids)
    for pk, total in taken.values_list("assessment_id", "sha256"):
        photos[pk].append(total)
    entries: dict[int, Entry] = {}
    for entry in _entries(academy_id).filter(subject_id__in=ids):
        entries.setdefault(entry.subject_id, entry)
    for pk in ids:
        told = entries.get(pk)
        for words in _differences(told, figures.get(pk), photos[pk]):
            number = told.sequence if told else None
            yield Unlike((SUBJECT, pk), number, f"{_sheet(pk)}: {words}")


def _entries(academy_id: int) -> EntryQuerySet:
    return Entry.objects.for_chain(academy_id).filter(action=ACTION, subject_type=SUBJECT)


def _differences(entry: Entry | None, figures: Any, photos: list[str]) -> Iterator[str]:
    if entry is None:
        yield "no entry of the record tells of its submission."
        return
    number = entry.sequence
    try:
        said = entry.details
    except ProofError:
        yield f"entry {number}, which tells of its submission, cannot be read."
        return
    if "figures" in said and said["figures"] != _sum(figures):
        yield f"levels, rules or result are not those that entry {number} recorded."
    if "photos" in said and sorted(said["photos"]) != sorted(photos):
        yield f"the photos are not those that entry {number} recorded."


def _sum(figures: Any) -> str:
    """The sum of what is stored; empty for what no submission can have stored."""
    try:
        found: str = sums(figures, [])["figures"]
    except ProofError:
        return ""
    return found


def _sheet(pk: int) -> str:
    return f"Result sheet R{pk:06d}"
