"""What the worker does for papers: questions for many, and sheets whose time is up."""

from __future__ import annotations

from django.utils import timezone

from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.services.draws import draw_rest
from academy.exercises.services.timed import end_if_over


def draw_questions(paper_id: int, edition: int) -> None:
    """Draw for everybody who has no questions of this edition of a paper yet."""
    paper = Paper.objects.select_related("academy").get(pk=paper_id)
    # Who is in the cohort today is judged by the day in the academy.
    with timezone.override(paper.academy.time_zone):
        draw_rest(paper_id, edition)


def end_sheet(sheet_id: int) -> None:
    """Hand in one sheet of a test, unless its apprentice did so in time, or it was taken back."""
    for sheet in AnswerSheet.objects.filter(pk=sheet_id):
        end_if_over(sheet)


def end_sheets(paper_id: int) -> None:
    """Hand in what is open of a test that was closed."""
    for sheet in AnswerSheet.objects.filter(paper=paper_id, submitted_at__isnull=True):
        end_if_over(sheet)


def end_open_tests() -> None:
    """Every night: the sheets of tests whose last day is over, and any that was missed."""
    tests = AnswerSheet.objects.filter(
        paper__kind=Paper.Kind.TEST, paper__withdrawn_at__isnull=True, submitted_at__isnull=True
    )
    for sheet in tests:
        end_if_over(sheet)
