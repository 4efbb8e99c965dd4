"""Item statistics: of one paper, and of every exercise over all papers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.shortcuts import render
from django.views.decorators.http import require_safe

from academy.craft.exercise.engine import families
from academy.craft.exercise.statistics import FEWEST_FOR_A_SHARE, FEWEST_TO_SEPARATE
from academy.exercises import rules
from academy.exercises.queries.export import (
    FAMILIES,
    QUESTIONS,
    SLIPS,
    family_lines,
    question_lines,
    slip_lines,
)
from academy.exercises.queries.families import LEVELS, all_papers
from academy.exercises.queries.statistics import statistics_of
from academy.exercises.views.papers import visible_paper
from academy.people.acting import ActingRequest, acting
from academy.people.models import Cohort
from academy.web.tables import download

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.exercises.queries.families import AllPapers


@require_safe
@acting(*rules.SEES_RESULTS)
def paper_statistics(request: ActingRequest, token: str) -> HttpResponse:
    paper = visible_paper(request, token)
    level = _level(request)
    context = {
        "paper": paper,
        "statistics": statistics_of(paper, level=level),
        "level": level,
        "fewest": FEWEST_FOR_A_SHARE,
        "to_separate": FEWEST_TO_SEPARATE,
    }
    return render(request, "exercises/paper_statistics.html", context)


@require_safe
@acting(*rules.SEES_RESULTS)
def paper_statistics_file(request: ActingRequest, token: str, form: str) -> HttpResponse:
    """The same as a file, in the level that is chosen."""
    paper = visible_paper(request, token)
    statistics = statistics_of(paper, level=_level(request))
    tables = {
        "Questions": [QUESTIONS, *question_lines(statistics)],
        "Slips": [SLIPS, *slip_lines(statistics.slips)],
    }
    return download(f"{paper.title} statistics", form, tables)


@require_safe
@acting(*rules.SEES_RESULTS)
def statistics(request: ActingRequest) -> HttpResponse:
    cohort, level, family = _cohort(request), _level(request), _family(request)
    context = {
        "found": _all(request),
        "cohorts": _cohorts(request),
        "levels": LEVELS,
        "families": [(one.key, one.title) for one in families()],
        "cohort": cohort,
        "level": level,
        "family": family,
        "words": request.GET.urlencode(),
    }
    return render(request, "exercises/statistics.html", context)


@require_safe
@acting(*rules.SEES_RESULTS)
def statistics_file(request: ActingRequest, form: str) -> HttpResponse:
    found = _all(request)
    tables = {
        "Exercises": [FAMILIES, *family_lines(found)],
        "Slips": [SLIPS, *slip_lines(found.slips)],
    }
    return download("Exercise statistics", form, tables)


def _all(request: ActingRequest) -> AllPapers:
    return all_papers(
        request.acting.academy,
        cohort=_cohort(request),
        level=_level(request),
        family=_family(request),
    )


def _cohorts(request: ActingRequest) -> list[Cohort]:
    visible = Cohort.objects.visible_to(request.acting.person, request.acting.academy)
    return list(visible.order_by("name"))


def _cohort(request: ActingRequest) -> Cohort | None:
    token = request.GET.get("cohort", "")
    return next((one for one in _cohorts(request) if one.token == token), None) if token else None


def _level(request: ActingRequest) -> str:
    """The level that the address names; another word means all."""
    level = request.GET.get("level", "")
    return level if level in LEVELS else ""


def _family(request: ActingRequest) -> str:
    key = request.GET.get("family", "")
    return key if key in {family.key for family in families()} else ""
