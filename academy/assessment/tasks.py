"""What the worker does for assessments: result sheets as PDF."""

from __future__ import annotations

from datetime import timedelta

from django.core.files.base import ContentFile
from django.template.loader import render_to_string
from django.utils import timezone, translation

from academy.assessment.models import Assessment, ResultPrint
from academy.assessment.result_page import ResultPage
from academy.assessment.rules import may_see_both_marks
from academy.web.paper import self_contained
from academy.web.pdf import PdfError, render_pdfs

STYLES = ("css/paper.css",)
KEEP_DAYS = 7


def make_result(print_id: int) -> None:
    """Make the file of a print. Run again, it finds the file and stops."""
    asked = ResultPrint.objects.get(pk=print_id)
    if asked.file or asked.trouble:
        return
    try:
        data, sheets = render_pdfs([result_html(asked)], stylesheets=STYLES)
    except PdfError as error:
        asked.trouble = error.message
        asked.save(update_fields=["trouble"])
        return
    asked.pages = sheets
    asked.file.save("", ContentFile(data), save=False)
    asked.save(update_fields=["file", "pages"])


def result_html(asked: ResultPrint) -> str:
    """The sheet as whoever asked reads it now, ready for the press."""
    assessment = Assessment.objects.for_result().get(pk=asked.assessment_id)
    reader = asked.asked_by
    page = ResultPage(assessment, standing=reader.pk == assessment.apprentice_id)
    with timezone.override(assessment.academy.time_zone), translation.override("en-gb"):
        context = {
            "page": page,
            "both_shown": may_see_both_marks(reader, assessment),
            "printed_on": timezone.localdate(),
        }
        return self_contained(render_to_string("print/result.html", context))


def forget_results() -> None:
    """Delete files a week after they were asked for; a sheet can be printed again any time."""
    oldest = timezone.now() - timedelta(days=KEEP_DAYS)
    for row in ResultPrint.objects.filter(asked_at__lt=oldest):
        row.file.delete(save=False)
        row.delete()
