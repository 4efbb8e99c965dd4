"""Tasks: the list, one task, setting one for one apprentice or several, taking one back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.audit import sentences
from academy.audit.queries import history_of
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role
from academy.practice import rules
from academy.practice.errors import PracticeError
from academy.practice.forms.tasks import TaskForm, WithdrawForm
from academy.practice.models import Task
from academy.practice.services.tasks import set_tasks, withdraw_task
from academy.practice.task_states import rows_of
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_safe
@acting()
def task_list(request: ActingRequest) -> HttpResponse:
    """An apprentice's own tasks, or the academy's: the earliest day first."""
    who = request.acting
    rows = Task.objects.visible_to(who.person, who.academy).for_list().order_by("-due_on", "pk")
    if who.role == Role.APPRENTICE:
        rows = rows.filter(apprentice=who.person)
    page = page_of(request, rows)
    context = {
        "page": page,
        "tasks": rows_of(page.object_list),
        "own": who.role == Role.APPRENTICE,
        "may_set": rules.may_set_tasks(who.person, who.academy),
    }
    return render(request, "practice/task_list.html", context)


@require_safe
@acting()
def task_detail(request: ActingRequest, token: str) -> HttpResponse:
    """One task, how much of it is done, and its history."""
    who = request.acting
    task = _one(request, token)
    history = history_of(task._meta.label_lower, task.pk, academy_id=who.academy.pk)
    (row,) = rows_of([task])
    context = {
        "row": row,
        "own": task.apprentice_id == who.person.pk,
        "may_withdraw": row.waits and rules.may_withdraw_task(who.person, task),
        "history": sentences.render(history),
    }
    return render(request, "practice/task_detail.html", context)


@acting(Role.EDUCATOR)
def task_new(request: ActingRequest) -> HttpResponse:
    """Set a task. `?module=…&zone=…&apprentice=…` (also several) fills the form in."""
    who = request.acting
    initial = {name: request.GET.get(name, "") for name in ("module", "zone")}
    posted = request.POST if request.method == "POST" else None
    form = TaskForm(
        posted,
        academy=who.academy,
        educator=who.person,
        initial={**initial, "apprentices": request.GET.getlist("apprentice")},
    )
    if form.is_valid():
        try:
            tasks = set_tasks(
                academy=who.academy,
                educator=who.person,
                module=form.cleaned_data["module"],
                apprentices=list(form.cleaned_data["apprentices"]),
                wanted=form.wanted(),
            )
        except PracticeError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Set. {tasks[0].words}, for {len(tasks)}.")
            return redirect("practice:task-list", who.academy.slug)
    return render(request, "practice/task_new.html", {"form": form})


@acting(Role.EDUCATOR)
def task_withdraw(request: ActingRequest, token: str) -> HttpResponse:
    """Take a task back; it stays readable with the reason. 403 for one's own."""
    task = _one(request, token)
    if not rules.may_withdraw_task(request.acting.person, task):
        raise PermissionDenied("This task is yours. Another educator takes it back.")
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            withdraw_task(
                task=task, educator=request.acting.person, reason=form.cleaned_data["reason"]
            )
        except PracticeError as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Taken back. The apprentice reads why.")
            return redirect("practice:task-detail", request.acting.academy.slug, token)
    return render(request, "practice/task_withdraw.html", {"task": task, "form": form})


def _one(request: ActingRequest, token: str) -> Task:
    rows = Task.objects.visible_to(request.acting.person, request.acting.academy)
    return get_object_or_404(rows.for_list(), token=token)
