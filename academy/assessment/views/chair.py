"""What the views at the chair share: the assessor's own draft, and the answer to a touch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db.models import prefetch_related_objects
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import SafeString, mark_safe

from academy.assessment.forms import FaultForm, NotesForm, ReasonForm
from academy.assessment.forms.photos import PhotoForm
from academy.assessment.models import Assessment, AssessmentQuerySet
from academy.assessment.score_page import ScorePage

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.assessment.score_rows import CriterionRow
    from academy.people.acting import ActingRequest


def own_draft(request: ActingRequest, token: str, rows: AssessmentQuerySet) -> Assessment:
    """The acting assessor's own assessment; 404 for another's."""
    own = rows.filter(academy=request.acting.academy, assessor=request.acting.person)
    return get_object_or_404(own, token=token)


def back_to_head(request: ActingRequest, assessment: Assessment, query: str = "") -> HttpResponse:
    """To the page of the head, with the zone and view it was left with."""
    answer = redirect("assessment:assessment-score", request.acting.academy.slug, assessment.token)
    query = query or request.GET.urlencode()
    if query:
        answer["Location"] += f"?{query}"
    return answer


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
    page = more.pop("page", None) or page_of_head(request, assessment)
    context = {
        **drawn(page),
        "notes_form": NotesForm(
            initial={"minutes_used": assessment.minutes_used, "note": assessment.note}
        ),
        "fault_form": FaultForm(version=assessment.module_version, initial={"zone": page.zone}),
        "zone_form": ReasonForm(),
        "photo_form": PhotoForm(),
        **more,
    }
    if not request.htmx:
        return render(request, "assessment/score.html", context)
    answer = render(request, "assessment/parts/touched_desk.html", context)
    answer["HX-Retarget"], answer["HX-Reswap"] = "#desk", "innerHTML"
    return answer


def touched_line(
    request: ActingRequest, assessment: Assessment, code: str = "", zone: str = ""
) -> HttpResponse:
    """What one touch changes: its own line (the rating where no criterion is named), the counts."""
    prefetch_related_objects([assessment], "marks")
    page = page_of_head(request, assessment)
    row: CriterionRow | None = page.row(code, zone) if code else None
    return render(request, "assessment/parts/touched.html", {**drawn(page), "row": row})


def page_of_head(request: ActingRequest, assessment: Assessment) -> ScorePage:
    """The page with the zone and view of the address in hand."""
    return ScorePage(
        assessment,
        request.GET.get("zone", ""),
        request.GET.get("view", ""),
        marking=request.GET.get("mark") == "fault",
    )


def drawn(page: ScorePage) -> dict[str, Any]:
    """The page with its drawings, which the drawing code has escaped."""
    if not page.has_head or page.stopped:
        return {"page": page, "head": "", "tabs": []}
    return {
        "page": page,
        "head": safe(page.big_head),
        "tabs": [(view, safe(svg), current) for view, svg, current in page.tabs],
    }


def safe(svg: str) -> SafeString:
    """Markup of `craft.head`, which escapes every word it is given."""
    return mark_safe(svg)  # noqa: S308
