"""How one apprentice reads by eye, for themselves and for staff."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from academy.craft.exercise.eye import LATEST, LEAST
from academy.exercises import rules
from academy.exercises.queries.eye import eye_parts, learners_visible_to, telling
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_safe
@acting(Role.APPRENTICE, *rules.SEES_RESULTS)
def eye(request: ActingRequest, token: str) -> HttpResponse:
    viewer, academy = request.acting.person, request.acting.academy
    person = get_object_or_404(learners_visible_to(viewer, academy), token=token)
    parts = eye_parts(viewer, academy, person)
    context = {
        "person": person,
        "own": person == viewer,
        "telling": telling(parts),
        "read": [part for part in parts if part.rows],
        "unread": [part for part in parts if not part.rows],
        "least": LEAST,
        "latest": LATEST,
    }
    return render(request, "exercises/eye.html", context)
