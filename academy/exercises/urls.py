"""Addresses of papers and answer sheets, under `/<academy>/exercises/`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.urls import path

from academy.exercises.views import (
    answering,
    closing,
    entering,
    eye,
    follow_ups,
    lists,
    papers,
    prints,
    remarking,
    setting,
    sheets,
    statistics,
)
from academy.web.tables import CSV, XLSX

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.http.response import HttpResponseBase
    from django.urls import URLPattern

app_name = "exercises"


def _files(start: str, view: Callable[..., HttpResponseBase], name: str) -> list[URLPattern]:
    """The address of a table in each of its forms: `name-csv` and `name-xlsx`."""
    forms = (CSV, XLSX)
    return [path(f"{start}.{form}", view, {"form": form}, name=f"{name}-{form}") for form in forms]


urlpatterns = [
    path("", lists.paper_list, name="paper-list"),
    path("new/", setting.paper_new, name="paper-new"),
    path("statistics/", statistics.statistics, name="statistics"),
    *_files("statistics", statistics.statistics_file, "statistics"),
    path("prints/<token:token>/", prints.print_download, name="print-download"),
    path("sheets/<token:token>/", sheets.sheet_detail, name="sheet-detail"),
    path("sheets/<token:token>/keep/", answering.sheet_keep, name="sheet-keep"),
    path("sheets/<token:token>/outbox/", answering.sheet_outbox, name="sheet-outbox"),
    path("sheets/<token:token>/hand-in/", answering.sheet_hand_in, name="sheet-hand-in"),
    path("eye/<token:token>/", eye.eye, name="eye"),
    path("<token:token>/", papers.paper_detail, name="paper-detail"),
    *_files("<token:token>/results", papers.paper_results, "paper-results"),
    path("<token:token>/statistics/", statistics.paper_statistics, name="paper-statistics"),
    *_files("<token:token>/statistics", statistics.paper_statistics_file, "paper-statistics"),
    path("<token:token>/preview/", papers.paper_preview, name="paper-preview"),
    path("<token:token>/enter/", entering.paper_enter, name="paper-enter"),
    path("<token:token>/enter/<token:person>/", entering.sheet_enter, name="sheet-enter"),
    path("<token:token>/print/", prints.paper_print, name="paper-print"),
    path("<token:token>/mark-again/", remarking.paper_mark_again, name="paper-mark-again"),
    path("<token:token>/edit/", setting.paper_edit, name="paper-edit"),
    path("<token:token>/close/", closing.paper_close, name="paper-close"),
    path("<token:token>/draw/", closing.paper_draw, name="paper-draw"),
    path("<token:token>/follow-up/", follow_ups.paper_follow_up, name="paper-follow-up"),
    path("<token:token>/withdraw/", papers.paper_withdraw, name="paper-withdraw"),
    path("<token:token>/answer/", answering.paper_answer, name="paper-answer"),
]
