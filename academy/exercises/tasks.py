"""What the worker does for exercises: papers as PDF."""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta
from typing import TYPE_CHECKING

from django.core.files.base import ContentFile
from django.template.loader import render_to_string
from django.utils import timezone, translation

from academy.exercises.models import Paper, PaperPrint, Question
from academy.exercises.queries.keys import key_views
from academy.exercises.seeds import seed_words
from academy.web.paper import self_contained
from academy.web.pdf import PdfError, render_pdfs

if TYPE_CHECKING:
    from academy.people.models import Person

TEMPLATES = {
    PaperPrint.What.PAPERS: "print/paper.html",
    PaperPrint.What.KEY: "print/paper_key.html",
    PaperPrint.What.GUIDE: "print/paper_key.html",
}
STYLES = ("css/paper.css",)
KEEP_DAYS = 30


def make_print(print_id: int) -> None:
    """Make the file of a print, once: a print that has its file is left alone."""
    asked = PaperPrint.objects.select_related("paper__cohort", "paper__academy").get(pk=print_id)
    if asked.file:
        return
    with timezone.override(asked.paper.academy.time_zone), translation.override("en-gb"):
        pages = paper_pages(asked.paper, what=asked.what)
    if not pages:
        asked.trouble = "Nobody has a place in the cohort yet, so there is nothing to print."
        asked.save(update_fields=["trouble"])
        return
    try:
        data, asked.pages = render_pdfs(pages, stylesheets=STYLES)
    except PdfError as error:
        asked.trouble = error.message
        asked.save(update_fields=["trouble"])
        return
    asked.file.save("", ContentFile(data), save=False)
    asked.save(update_fields=["file", "pages"])


def paper_pages(paper: Paper, *, what: str) -> list[str]:
    """The HTML of each apprentice's paper, or of the one that all get; the keys apart."""
    drawn: dict[Person | None, list[Question]] = defaultdict(list)
    rows = Question.objects.filter(paper=paper, attempt=1).select_related("apprentice")
    for row in rows.order_by("apprentice__name", "apprentice", "position"):
        drawn[row.apprentice].append(row)
    sets = [(person, key_views(row.question for row in own)) for person, own in drawn.items()]
    template = TEMPLATES[PaperPrint.What(what)]
    return [
        self_contained(
            render_to_string(
                template,
                {
                    "paper": paper,
                    "seed": seed_words(paper.seed),
                    "person": person,
                    "views": views,
                    "marks": sum(view.marks for view in views),
                },
            )
        )
        for person, views in sets
    ]


def forget_prints() -> None:
    """Delete files a month after they were asked for; a paper can be printed again any time."""
    for row in PaperPrint.objects.filter(asked_at__lt=timezone.now() - timedelta(days=KEEP_DAYS)):
        row.file.delete(save=False)
        row.delete()
