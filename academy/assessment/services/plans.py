"""Action plans: what educator and apprentice agree after repeated "not yet" (trade.md 5.5)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import ActionPlan, PlanClosing
from academy.audit.services import record

if TYPE_CHECKING:
    from datetime import date

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person


def write_action_plan(
    *,
    academy: Academy,
    educator: Person,
    apprentice: Person,
    version: ModuleVersion,
    text: str,
    due_on: date,
    whole_module: bool = False,
) -> ActionPlan:
    """Write down what is done until which day. `whole_module` asks for no partial re-assessment."""
    if not rules.may_plan(educator, academy):
        raise AssessmentError("Only an educator of this academy writes an action plan.")
    if not rules.may_plan_for(educator, academy, apprentice):
        raise AssessmentError("Nobody writes an action plan for themselves. Ask a colleague.")
    if not rules.may_be_assessed(apprentice, academy):
        raise AssessmentError("This person is not an apprentice of your academy.")
    if version.academy_id != academy.pk:
        raise AssessmentError("Choose one of your academy's modules.", field="module")
    if not text.strip():
        raise AssessmentError("Say what is to be done, how often and until when.", field="text")
    if due_on < timezone.localdate():
        raise AssessmentError("This day is past. Give a later one.", field="due_on")
    with transaction.atomic():
        plan = ActionPlan.objects.create(
            academy=academy,
            educator=educator,
            apprentice=apprentice,
            module_version=version,
            text=text.strip(),
            due_on=due_on,
            whole_module=whole_module,
        )
        _record(plan, educator, "assessment.actionplan.written")
    return plan


def close_action_plan(*, plan: ActionPlan, educator: Person, came_of: str) -> PlanClosing:
    """The plan has been carried through, or is dropped; `came_of` says which, in words.

    Closing twice gives the first closing.
    """
    if not rules.may_plan(educator, plan.academy):
        raise AssessmentError("Only an educator of this academy closes an action plan.")
    if not rules.may_close_plan(educator, plan):
        raise AssessmentError("Nobody closes their own action plan. Ask a colleague.")
    if not came_of.strip():
        raise AssessmentError(
            "Say what came of it, for example: twelve sections laid, all of them level.",
            field="came_of",
        )
    with transaction.atomic():
        held = ActionPlan.objects.select_for_update().get(pk=plan.pk)
        if held.closed_at is None:
            closing = PlanClosing.objects.create(
                plan=held, educator=educator, came_of=came_of.strip()
            )
            held.closed_at = closing.at
            held.save(update_fields=["closed_at"])
            _record(held, educator, "assessment.actionplan.closed")
        return held.closing


def _record(plan: ActionPlan, educator: Person, action: str) -> None:
    record(
        academy_id=plan.academy_id,
        actor_id=educator.pk,
        action=action,
        subject=plan,
        details={
            "apprentice": plan.apprentice_id,
            "version": plan.module_version_id,
            "due_on": plan.due_on.isoformat(),
            "whole_module": plan.whole_module,
        },
    )
