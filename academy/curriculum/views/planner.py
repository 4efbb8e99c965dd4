"""The planner: a pattern on a head, its sheet, its figures and its clock; nothing is kept but by
saving a sheet into a module.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from academy.craft.head.shape import HeadError
from academy.craft.head.zones import ZONES
from academy.curriculum.errors import CurriculumError
from academy.curriculum.forms.planner import CUSTOM, PlannerForm
from academy.curriculum.house import rules_today
from academy.curriculum.planner.corners import done_to
from academy.curriculum.planner.page import differences, planned, sketched
from academy.curriculum.planner.saving import modules_to_save_in, sheet_content
from academy.curriculum.reference import cautions
from academy.curriculum.services import add_sheet
from academy.curriculum.views.common import the_module
from academy.people.acting import acting
from academy.people.models import Role

if TYPE_CHECKING:
    from academy.craft.rules import Rules
    from academy.curriculum.planner.plan import Planned
    from academy.people.acting import ActingRequest
    from academy.people.models import Academy

LONGEST_QUERY = 2000
COMB = "K6"
CAUTIONS = frozenset({"K5", "K6", "K7", "K11"})  # those of the clock stand before them


@require_safe
@acting()
def planner(request: ActingRequest) -> HttpResponse:
    """The page, or what has changed of it. A plan that cannot be leaves the last good one."""
    academy = request.acting.academy
    house = rules_today(academy)
    query, trouble = _after_deed(request.GET)
    deed = "do" in request.GET
    if deed and not request.htmx and not trouble:
        return redirect(f"{request.path}?{query.urlencode()}#corners")
    form = PlannerForm(query, academy=academy, house=house)
    made = planned(form)
    shown = made or _last_good(str(query.get("last", "")), academy, house)
    beside = _last_good(str(query["beside"]), academy, house) if query.get("beside") else None
    drawing = form["pattern"].value() == CUSTOM
    context = {
        "form": form,
        "made": made,
        "shown": shown,
        "beside": beside,
        "differences": differences(shown, beside) if shown and beside else (),
        "turned": beside.beside(shown) if shown and beside else "",
        "trouble": trouble,
        "deed": deed,
        "drawing": drawing,
        "head": sketched(form, shown) if drawing else shown.head if shown else None,
        "zones": ZONES,
        "cautions": _cautions(shown),
        "modules": modules_to_save_in(academy) if request.acting.holds(Role.EDUCATOR) else (),
    }
    if not request.htmx:
        return render(request, "curriculum/planner.html", context)
    answer = render(request, "curriculum/parts/planner_answer.html", context)
    answer["HX-Replace-Url"] = f"{request.path}?{_kept(query).urlencode()}"
    return answer


@require_safe
@acting()
def planner_print(request: ActingRequest) -> HttpResponse:
    """The sheet for the chair: five views, foils in laying order, room for times."""
    academy = request.acting.academy
    made = planned(PlannerForm(request.GET, academy=academy, house=rules_today(academy)))
    if made is None:
        return redirect(f"{_address(academy)}?{request.GET.urlencode()}")
    context = {"made": made, "cautions": _cautions(made)}
    return render(request, "curriculum/planner_print.html", context)


@require_POST
@acting(Role.EDUCATOR)
def planner_save(request: ActingRequest) -> HttpResponse:
    """Put the plan as a sheet into a module's draft."""
    academy = request.acting.academy
    text = request.POST.get("plan", "")[:LONGEST_QUERY]
    back = redirect(f"{_address(academy)}?{text}")
    made = _planned_by(text, academy, rules_today(academy))
    token = request.POST.get("module", "")
    if made is None:
        return back
    if not token:
        messages.error(request, "Choose the module that the sheet goes into.")
        return back
    module = the_module(request.acting, token)
    try:
        draft = add_sheet(module=module, sheet=sheet_content(made.plan), by=request.acting.person)
    except CurriculumError as refused:
        messages.error(request, refused.message)
        return back
    messages.success(request, f"In the draft of {draft.title}: {made.title}. Look at it there.")
    return redirect("curriculum:draft-edit", academy.slug, draft.token, "sheets")


def _after_deed(sent: QueryDict) -> tuple[QueryDict, str]:
    """The query with what was done to the corners in it, and why it could not be."""
    query = sent.copy()
    deed = query.pop("do", [""])[-1]
    zone = query.pop("corner_zone", [""])[-1]
    if deed == "zone":
        deed = f"zone {zone}"
    if not deed:
        return query, ""
    try:
        query["corners"] = done_to(query.get("corners", ""), deed)
    except HeadError as refused:
        return query, str(refused)
    return query, ""


def _cautions(made: Planned | None) -> list[str]:
    """What to read where foils are planned; lines alone need none of the product's."""
    if made is None or made.clock is None:
        return [one.text for one in cautions() if one.id == COMB]
    return [*made.clock.times.cautions, *(one.text for one in cautions() if one.id in CAUTIONS)]


def _last_good(text: str, academy: Academy, house: Rules) -> Planned | None:
    """A plan from its own address, None where it has none that can be drawn."""
    if len(text) > LONGEST_QUERY:
        return None
    return _planned_by(text, academy, house)


def _planned_by(text: str, academy: Academy, house: Rules) -> Planned | None:
    return planned(PlannerForm(QueryDict(text), academy=academy, house=house))


def _kept(query: QueryDict) -> QueryDict:
    """What stays in the address: without the last good plan."""
    kept = query.copy()
    kept.pop("last", None)
    return kept


def _address(academy: Academy) -> str:
    return reverse("curriculum:planner", kwargs={"academy": academy.slug})
