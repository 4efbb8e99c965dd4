"""Putting a pack together: what is in it, its sums, its signature."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from django.conf import settings
from django.db.models import Q
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from academy.assessment.models import SignOff
from academy.audit import keys
from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.audit.reading import readable
from academy.audit.sentences import render
from academy.awards.models import Certificate
from academy.people.models import Role, held_roles_of
from academy.reports.models import EvidencePack
from academy.reports.packs import check_pack
from academy.reports.packs.proofs import as_json, proof_files
from academy.reports.packs.sheets import (
    assessments_of,
    certificate_facts,
    sheet_files,
    sheet_page,
    sign_off_facts,
    with_both_marks,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from academy.assessment.models import Assessment
    from academy.assessment.result_page import ResultPage
    from academy.people.models import Academy
    from academy.reports.packs.proofs import Files

# The clock of a ZIP begins here; with one time for all files the same pack has the same bytes.
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)


class Gathered:
    """What a decision rests on, as far as the one who asks may see it."""

    def __init__(self, pack: EvidencePack) -> None:
        self.pack = pack
        self.staff = held_roles_of(pack.asked_by, pack.academy) != (Role.APPRENTICE,)
        self.certificate = self._certificate()
        self.sign_offs = self._sign_offs()
        self.assessments = self._assessments()

    def among_staff(self, about: int) -> bool:
        """Whether staff ask about somebody else: words of staff are not for whom they concern."""
        return self.staff and about != self.pack.asked_by_id

    def _certificate(self) -> Certificate | None:
        if self.pack.about != EvidencePack.About.CERTIFICATE:
            return None
        rows = Certificate.objects.visible_to(self.pack.asked_by, self.pack.academy)
        return rows.get(pk=self.pack.subject_id)

    def _sign_offs(self) -> list[SignOff]:
        rows = SignOff.objects.visible_to(self.pack.asked_by, self.pack.academy)
        if self.certificate is not None:
            rows = rows.filter(certificates=self.certificate)
        elif self.pack.about == EvidencePack.About.SIGN_OFF:
            rows = rows.filter(pk=self.pack.subject_id)
        else:
            return []
        return list(
            rows.select_related("apprentice", "assessor", "module_version", "rule_set").order_by(
                "signed_at", "pk"
            )
        )

    def _assessments(self) -> list[Assessment]:
        ids = {row.pk for sign_off in self.sign_offs for row in sign_off.assessments.all()}
        if self.pack.about == EvidencePack.About.ASSESSMENT:
            ids = {self.pack.subject_id}
        sheets = assessments_of(ids, self.pack.asked_by)
        return with_both_marks(sheets, self.pack.asked_by)

    @cached_property
    def pages(self) -> list[ResultPage]:
        """The sheets as whoever asked reads them."""
        return [sheet_page(row, self.pack.asked_by) for row in self.assessments]

    @property
    def entries(self) -> list[Entry]:
        """What the record says about them and the one who asks may read, in its order."""
        said = Q(
            subject_type="assessment.assessment",
            subject_id__in=[row.pk for row in self.assessments],
        ) | Q(
            subject_type="assessment.signoff",
            subject_id__in=[row.pk for row in self.sign_offs],
        )
        if self.certificate is not None:
            said |= Q(subject_type="awards.certificate", subject_id=self.certificate.pk)
        entries = Entry.objects.for_chain(self.pack.academy_id).filter(said)
        academy_id = self.pack.academy_id
        return list(readable(entries, reader_id=self.pack.asked_by_id, academy_id=academy_id))


def pack_files(pack: EvidencePack, progress: Callable[[int, int], None]) -> Files:
    """Every file of a pack by its name. `progress` is told how many of how many steps are done.

    Raises `AuditError` where the record cannot prove it, and where it was opened again since it
    was asked for, so that nothing of it may be read.
    """
    found = Gathered(pack)
    entries = found.entries
    if not entries:
        raise AuditError(
            "Somebody looks at this head again, so nothing of it can be packed now. "
            "Ask once it is decided."
        )
    steps = len(found.assessments) + 2
    files: Files = {"decision.json": as_json(_decision(found))}
    for number, page in enumerate(found.pages, 1):
        among_staff = found.among_staff(page.assessment.apprentice_id)
        files |= sheet_files(number, page, staff=among_staff)
        progress(number, steps)
    files |= proof_files(pack.academy_id, entries)
    progress(steps - 1, steps)
    lines = render(entries)
    files["history.csv"] = _history(lines)
    files["check.py"] = Path(check_pack.__file__).read_bytes()
    context = {
        "found": found,
        "lines": lines,
        "made_at": timezone.now(),
        "address": _address(pack.academy),
        **_commands(files),
    }
    files["README.txt"] = render_to_string("packs/readme.txt", context).encode()
    files["index.html"] = render_to_string("packs/index.htm", context).encode()
    return files | _signed(files)


def zipped(files: Files) -> bytes:
    """The files as a ZIP, in the order of their names."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name, _EPOCH), files[name], zipfile.ZIP_DEFLATED)
    return made.getvalue()


def _decision(found: Gathered) -> dict[str, Any]:
    return {
        "about": found.pack.about,
        "academy": found.pack.academy.name,
        "certificate": certificate_facts(
            found.certificate, staff=found.among_staff(found.certificate.holder_id)
        )
        if found.certificate
        else None,
        "sign_offs": [
            sign_off_facts(row, staff=found.among_staff(row.apprentice_id))
            for row in found.sign_offs
        ],
        "sheets": {
            f"sheets/{number}": row.token for number, row in enumerate(found.assessments, 1)
        },
    }


def _address(academy: Academy) -> str:
    path = reverse("record_public:record", kwargs={"slug": academy.slug})
    return f"{settings.SITE_ADDRESS.rstrip('/')}{path}"


def _history(lines: list[Any]) -> bytes:
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow(["entry", "at", "what"])
    for line in lines:
        writer.writerow([line.entry.sequence, line.entry.at.isoformat(), line.sentence])
    return table.getvalue().encode()


def _commands(files: Files) -> dict[str, str]:
    """The names that the printed commands need."""
    entry = min(name for name in files if name.startswith("record/entries/"))
    size = max(int(Path(name).stem) for name in files if name.startswith("record/checkpoints/"))
    newest = f"record/checkpoints/{size}"
    return {
        "entry": entry,
        "checkpoint": newest,
        "checkpoint_key": json.loads(files[f"{newest}.json"])["key"],
        "key": keys.known(keys.signer()).key,
    }


def _signed(files: Files) -> Files:
    signer = keys.signer()
    row = keys.known(signer)
    files[f"keys/{row.key}.pem"] = row.pem.encode()
    sums = "".join(
        f"{hashlib.sha256(files[name]).hexdigest()}  {name}\n" for name in sorted(files)
    ).encode()
    return {
        "SHA256SUMS": sums,
        "SHA256SUMS.sig": signer.sign(sums),
        "SHA256SUMS.key": f"{row.key}\n".encode(),
    }
