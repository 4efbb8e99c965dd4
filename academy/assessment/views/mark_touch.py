"""What the views of fault marks share: one touch of a draft's marks, and the ways to answer it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.db.models import prefetch_related_objects

from academy.assessment.editions import edition_for
from academy.assessment.forms import fault_choice
from academy.assessment.score_page import ScorePage
from academy.assessment.views.chair import (
    back_to_head,
    head_part,
    in_hand,
    touched_elsewhere,
    whole,
    whole_page,
)

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
        self.elsewhere = touched_elsewhere(request, assessment)

    def placed(self, mark: FaultMark, words: str) -> HttpResponse:
        """A new mark is taken in hand, and with it the zone it lies in, where that is judged."""
        judged = mark.zone in {zone.value for zone in edition_for(self.assessment).zones}
        zone = mark.zone if judged else self.hand.zone
        hand = replace(self.hand, zone=zone, marking=False, fault=mark.token, tap=False, was="")
        page = self._page(hand, placed=mark)
        return self._answer(page, _said(mark, words), anew=zone != self.hand.zone)

    def done(self, hand: InHand, mark: FaultMark, words: str) -> HttpResponse:
        page = self._page(hand)
        return self._answer(page, _said(mark, words))

    def taken_off(self, mark: FaultMark) -> HttpResponse:
        """Answered at once, since what brings the mark back stands on this page only."""
        hand = replace(self.hand, marking=False, fault="")
        page = self._page(hand, off=mark)
        fields = {
            "fault": fault_choice(mark),
            "note": mark.note,
            "azimuth": mark.azimuth_deg,
            "elevation": mark.elevation_deg,
            "number": mark.number,
        }
        return self._part(page, said=_said(mark, "is off."), off_fields=fields.items())

    def shown(self, hand: InHand, *, pending: Place | None = None, **more: Any) -> HttpResponse:
        """The page as it stands, with what was refused."""
        return self._part(self._page(hand, pending=pending), **more)

    def _page(self, hand: InHand, **more: Any) -> ScorePage:
        prefetch_related_objects([self.assessment], "marks")
        return ScorePage(self.assessment, hand, **more)

    def _answer(self, page: ScorePage, said: str, *, anew: bool = False) -> HttpResponse:
        if whole(self.request):
            messages.success(self.request, said)
            return back_to_head(self.request, self.assessment, page.hand.query)
        return self._part(page, said=said, anew=anew)

    def _part(self, page: ScorePage, *, anew: bool = False, **more: Any) -> HttpResponse:
        # The levels below are shown again only where they are others, or may be.
        show = whole_page if anew or self.elsewhere else head_part
        return show(self.request, self.assessment, page=page, elsewhere=self.elsewhere, **more)


def _said(mark: FaultMark, words: str) -> str:
    return f"{mark.spoken}, {words}"
