"""What the views at the chair share: the assessor's own draft, and the answer to a touch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from academy.assessment.forms import FaultForm, NotesForm, ReasonForm
from academy.assessment.forms.photos import PhotoForm
from academy.assessment.in_hand import InHand
from academy.assessment.models import Assessment, AssessmentQuerySet
from academy.assessment.score_page import ScorePage
from academy.assessment.standardising import reference_of

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


def own_draft(request: ActingRequest, token: str, rows: AssessmentQuerySet) -> Assessment:
    """The acting assessor's own assessment; 404 for another's."""
    own = rows.filter(academy=request.acting.academy, assessor=request.acting.person)
    return get_object_or_404(own, token=token)


def back_to_head(request: ActingRequest, assessment: Assessment, query: str = "") -> HttpResponse:
    """To the page of the head, with the zone and view it was left with."""
    query = query or request.GET.urlencode()
    url = _head_url(request, assessment)
    return redirect(f"{url}?{query}" if query else url)


def after_sign_in(request: ActingRequest, token: str) -> HttpResponse:
    """Where a touch ends that met the sign-in: its address opened again, without what it sent.

    Leads back to the head and says that this one touch was not kept.
    """
    assessment = own_draft(request, token, Assessment.objects.all())
    query = request.GET.copy()
    query["lost"] = "1"
    return back_to_head(request, assessment, query.urlencode())


def whole_page(request: ActingRequest, assessment: Assessment, **more: Any) -> HttpResponse:
    """The page of the head; for htmx its desk, whatever line was pressed."""
    context = _filled(request, assessment, more)
    if whole(request):
        return render(request, "assessment/score.html", context)
    return _in_place(request, "assessment/parts/touched_desk.html", context, "#desk")


def head_part(request: ActingRequest, assessment: Assessment, **more: Any) -> HttpResponse:
    """What changes with the mark or the view in hand: head, zones and faults; the page to others.

    Levels that are being pressed meanwhile stay as they are.
    """
    if whole(request):
        return whole_page(request, assessment, **more)
    context = _filled(request, assessment, more)
    return _in_place(request, "assessment/parts/touched_head.html", context, "#chair")


def whole(request: ActingRequest) -> bool:
    """Whether a page is asked for. Going back, htmx asks for one too."""
    return not request.htmx or request.htmx.history_restore_request


def _filled(request: ActingRequest, assessment: Assessment, more: dict[str, Any]) -> dict[str, Any]:
    page = more.pop("page", None) or page_of_head(request, assessment)
    version = assessment.module_version
    return {
        **drawn(page),
        "notes_form": NotesForm(
            initial={"minutes_used": assessment.minutes_used, "note": assessment.note}
        ),
        "fault_form": FaultForm(version=version, mark=page.chosen, zone=page.zone),
        "zone_form": ReasonForm(),
        "photo_form": PhotoForm(),
        "reference": reference_of(page.assessment),
        **more,
    }


def _in_place(
    request: ActingRequest, template: str, context: dict[str, Any], target: str
) -> HttpResponse:
    answer = render(request, template, context)
    answer["HX-Retarget"], answer["HX-Reswap"] = target, "innerHTML"
    page = context["page"]
    # So that a reload shows the same.
    answer["HX-Replace-Url"] = f"{_head_url(request, page.assessment)}?{page.hand.query}"
    return answer


def _head_url(request: ActingRequest, assessment: Assessment) -> str:
    slug = request.acting.academy.slug
    return reverse("assessment:assessment-score", args=[slug, assessment.token])


def page_of_head(request: ActingRequest, assessment: Assessment) -> ScorePage:
    """The page with what is in hand, as the address has it."""
    return ScorePage(assessment, in_hand(request))


def in_hand(request: ActingRequest) -> InHand:
    """What is in hand, as the address has it."""
    return InHand.read(request.GET)


def touched_elsewhere(request: ActingRequest, assessment: Assessment) -> bool:
    """Whether the page that sent this does not know of every touch so far."""
    sent = request.POST or request.GET
    known = sent.get("rev", sent.get("seen", ""))
    return known.isdigit() and int(known) != assessment.revision


def drawn(page: ScorePage) -> dict[str, Any]:
    """The page with its drawings, which the drawing code has escaped, and with nothing said."""
    bare = {"page": page, "head": "", "tabs": [], "refused": ""}
    if not page.has_head or page.stopped:
        return bare
    return bare | {
        "head": safe(page.drawn.big),
        "tabs": [
            (view, safe(svg), view == page.view, page.view_query(view))
            for view, svg in page.drawn.tabs
        ],
    }


def safe(svg: str) -> SafeString:
    """Markup of `craft.head`, which escapes every word it is given."""
    return mark_safe(svg)  # noqa: S308
