"""What the views of fault marks share: one touch of a draft's marks, and the ways to answer it.

These are the forms for whoever has no script; the page's script sends marks through the outbox.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.db.models import prefetch_related_objects

from academy.assessment.editions import edition_for
from academy.assessment.mark_text import fault_choice
from academy.assessment.score_page import ScorePage
from academy.assessment.views.chair import back_to_head, in_hand, whole_page

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.assessment.in_hand import InHand
    from academy.assessment.models import Assessment, FaultMark
    from academy.craft.head.sheet import Place
    from academy.people.acting import ActingRequest


class MarkTouch:
    """One touch of a draft's marks, and the ways to answer it."""

    def __init__(self, request: ActingRequest, assessment: Assessment) -> None:
        self.request = request
        self.assessment = assessment
        self.by = request.acting.person
        self.hand = in_hand(request)

    def placed(self, mark: FaultMark, words: str) -> HttpResponse:
        """A new mark is taken in hand, and with it the zone it lies in, where that is judged."""
        judged = mark.zone in {zone.value for zone in edition_for(self.assessment).zones}
        zone = mark.zone if judged else self.hand.zone
        hand = replace(
            self.hand, zone=zone, marking=False, fault=mark.client_key, tap=False, was=""
        )
        return self.done(hand, mark, words)

    def done(self, hand: InHand, mark: FaultMark, words: str) -> HttpResponse:
        messages.success(self.request, _said(mark, words))
        return back_to_head(self.request, self.assessment, hand.query)

    def taken_off(self, mark: FaultMark) -> HttpResponse:
        """Answered at once, since what brings the mark back stands on this page only."""
        hand = replace(self.hand, marking=False, fault="")
        fields = {
            "fault": fault_choice(mark, self.assessment.module_version),
            "note": mark.note,
            "azimuth": mark.azimuth_deg,
            "elevation": mark.elevation_deg,
            "number": mark.number,
            "key": mark.client_key,
        }
        return self.shown(hand, off=mark, off_fields=fields.items())

    def shown(
        self,
        hand: InHand,
        *,
        pending: Place | None = None,
        off: FaultMark | None = None,
        **more: Any,
    ) -> HttpResponse:
        """The page as it stands, with what was refused or taken off."""
        prefetch_related_objects([self.assessment], "marks")
        page = ScorePage(self.assessment, hand, pending=pending, off=off)
        return whole_page(self.request, self.assessment, page=page, **more)


def _said(mark: FaultMark, words: str) -> str:
    return f"{mark.spoken}, {words}"
