"""Where the outbox of a device at the chair sends its touches."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from typing import TYPE_CHECKING

from django.http import JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from academy.assessment.models import Assessment
from academy.assessment.services.touches import keep_touch
from academy.assessment.services.touching import STANDS, Sent
from academy.assessment.views.chair import own_draft, touched_elsewhere
from academy.people.acting import acting
from academy.people.models import Role
from academy.web.tokens import TOKEN_PATTERN

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest

MOST_AT_ONCE = 50
NOT_READ = "These touches were not read. Open the head once more and look at what stands."


@require_POST
@acting(Role.ASSESSOR)
def touches(request: ActingRequest, token: str) -> HttpResponse:
    """Keep touches in the order they were made; says of each what became of it.

    `elsewhere` tells a page that it does not show what stands. 409 where the head was submitted,
    400 for what is not a list of touches; both with a sentence.
    """
    assessment = own_draft(request, token, Assessment.objects.for_level())
    if assessment.state == Assessment.State.SUBMITTED:
        return JsonResponse({"refused": STANDS}, status=409)
    sent = _read(request.POST.get("touches", ""))
    if sent is None:
        return JsonResponse({"refused": NOT_READ}, status=400)
    elsewhere = touched_elsewhere(request, assessment)
    by = request.acting.person
    told = [keep_touch(assessment=assessment, by=by, sent=touch) for touch in sent]
    return JsonResponse(
        {
            "touches": [asdict(one) for one in told],
            "revision": assessment.revision,
            "elsewhere": elsewhere,
            "kept": f"{timezone.localtime(assessment.changed_at):%H:%M}",
        }
    )


def _read(text: str) -> list[Sent] | None:
    """The touches of a request; None for anything else."""
    try:
        rows = json.loads(text)
    except ValueError:
        return None
    if not isinstance(rows, list) or len(rows) > MOST_AT_ONCE:
        return None
    names = {"key", "place", "value", "was"}
    for row in rows:
        if not (isinstance(row, dict) and names <= row.keys()):
            return None
        if not all(isinstance(row[name], str) for name in names):
            return None
        if not re.fullmatch(TOKEN_PATTERN, row["key"]):
            return None
    # A form field ends its lines otherwise than a script.
    return [Sent(row["key"], row["place"], row["value"].strip(), row["was"]) for row in rows]
