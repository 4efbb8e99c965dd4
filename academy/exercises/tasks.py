"""What the worker does for exercises: papers as PDF.

A cohort's papers can be two thousand pages, more than one task may take: each step lays the sets
of some people, keeps them as a part and asks for the next step; the last one joins the parts.
"""

from __future__ import annotations

import tempfile
from datetime import timedelta

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone, translation
from pypdf import PdfReader, PdfWriter

from academy.exercises.models import PaperPrint
from academy.exercises.queries.printed import paper_pages
from academy.exercises.services.prints import settle_people
from academy.web.pdf import PdfError, render_pdfs
from academy.web.tasks import enqueue

STYLES = ("css/paper.css",)
KEEP_DAYS = 30
AT_ONCE = 20
"""Sets of sheets in one step: some seconds of work, some hundred megabytes."""


def make_print(print_id: int, start: int = 0) -> None:
    """Lay the next sets of a print, and join them when all are laid.

    A step that was done before is left alone: the queue may deliver it twice.
    """
    asked = PaperPrint.objects.select_related("paper__cohort", "paper__academy").get(pk=print_id)
    if asked.file or asked.trouble or start != asked.done:
        return
    if not asked.people:
        settle_people(asked)
    if not asked.people:
        _trouble(asked, "Nobody has a place in the cohort yet, so there is nothing to print.")
    elif asked.done < asked.total:
        _lay(asked)
    else:
        _join(asked)


def _lay(asked: PaperPrint) -> None:
    people = asked.people[asked.done : asked.done + AT_ONCE]
    with timezone.override(asked.paper.academy.time_zone), translation.override("en-gb"):
        pages = paper_pages(asked.paper, what=asked.what, people=people)
    try:
        data, sheets = render_pdfs(pages, stylesheets=STYLES)
    except PdfError as error:
        _trouble(asked, error.message)
        return
    pages_now = asked.pages + sheets
    if len(people) == asked.total:
        _keep(asked, ContentFile(data), pages_now)
        return
    name = _part(asked, asked.done)
    default_storage.delete(name)
    default_storage.save(name, ContentFile(data))
    done = asked.done + len(people)
    row = PaperPrint.objects.filter(pk=asked.pk)
    with transaction.atomic():
        row.update(done=done, pages=pages_now)
        key = f"exercises.print {asked.pk} {done}"
        row.update(job=enqueue("academy.exercises.tasks.make_print", asked.pk, done, key=key))


def _join(asked: PaperPrint) -> None:
    names = _parts(asked)
    writer = PdfWriter()
    for name in names:
        with default_storage.open(name) as part:
            writer.append(PdfReader(part), import_outline=False)
    with tempfile.TemporaryFile() as whole:
        writer.write(whole)
        whole.seek(0)
        _keep(asked, File(whole), asked.pages)
    for name in names:
        default_storage.delete(name)


def _keep(asked: PaperPrint, content: File[bytes], pages: int) -> None:
    asked.done, asked.pages = asked.total, pages
    asked.file.save("", content, save=False)
    asked.save(update_fields=["file", "pages", "done"])


def _trouble(asked: PaperPrint, sentence: str) -> None:
    asked.trouble = sentence
    asked.save(update_fields=["trouble"])


def _part(asked: PaperPrint, start: int) -> str:
    return f"papers/parts/{asked.token}-{start:05}.pdf"


def _parts(asked: PaperPrint) -> list[str]:
    return [_part(asked, start) for start in range(0, asked.total, AT_ONCE)]


def forget_prints() -> None:
    """Delete files a month after they were asked for; a paper can be printed again any time."""
    for row in PaperPrint.objects.filter(asked_at__lt=timezone.now() - timedelta(days=KEEP_DAYS)):
        row.file.delete(save=False)
        for name in _parts(row):
            default_storage.delete(name)
        row.delete()
