"""The page for a form that came from an old or foreign page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.shortcuts import render

if TYPE_CHECKING:
    from django.http import HttpRequest, HttpResponse


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001
    return render(request, "403_csrf.html", status=403)
