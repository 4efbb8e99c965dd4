"""What narrows the lists. A word that is not on offer narrows nothing."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from django import forms
from django.db.models import Q
from django.utils.dateformat import format as date_format

from academy.curriculum.models import ModuleVersion
from academy.people.models import Cohort, CohortPlace, Membership, Person, Role
from academy.practice.log import in_month, in_state
from academy.practice.models import PracticeSession, StrandCheck
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from academy.people.models import Academy
    from academy.practice.models import SessionQuerySet

PAST_CEILING = "past-ceiling"


def module_choices(sessions: SessionQuerySet) -> list[tuple[str, str]]:
    """The modules that these sessions are in, by title. One query."""
    practised = ModuleVersion.objects.filter(practice_sessions__in=sessions.order_by())
    rows = practised.order_by("module__position", "number").values_list("module__token", "title")
    # A later edition's title replaces an earlier one's.
    return sorted(dict(rows).items(), key=lambda choice: choice[1])


class Narrowing(BlockworkForm):
    """Base: reads the address, gives the condition."""

    state = forms.ChoiceField(required=False, label="State")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.widget.attrs["class"] = "form-select"

    def condition(self) -> Q:
        raise NotImplementedError

    @property
    def chosen(self) -> dict[str, Any]:
        """What was asked for and is on offer."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}

    @property
    def narrows(self) -> bool:
        return bool(self.chosen)


class OwnFilter(Narrowing):
    """An apprentice's own log."""

    module = forms.ChoiceField(required=False, label="Module")
    month = forms.ChoiceField(required=False, label="Month")
    field_order = ("module", "month", "state")

    def __init__(self, *args: Any, sessions: SessionQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        months: list[datetime] = list(sessions.datetimes("started_at", "month", order="DESC"))
        self._offer("module", "Every module", module_choices(sessions))
        self._offer("month", "All months", [(f"{m:%Y-%m}", date_format(m, "F Y")) for m in months])
        self._offer("state", "Every state", PracticeSession.State.choices)

    def _offer(self, name: str, nothing: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = [("", nothing), *choices]  # type: ignore[attr-defined]

    def condition(self) -> Q:
        chosen = self.chosen
        condition = in_state(chosen.get("state", ""))
        if "module" in chosen:
            condition &= Q(module_version__module__token=chosen["module"])
        if "month" in chosen:
            condition &= in_month(date.fromisoformat(f"{chosen['month']}-01"))
        return condition


class StaffFilter(Narrowing):
    """The academy's sessions."""

    cohort = forms.ModelChoiceField(
        Cohort.objects.none(), required=False, to_field_name="token", empty_label="Every cohort"
    )
    apprentice = forms.ModelChoiceField(
        Person.objects.none(), required=False, to_field_name="token", empty_label="Everybody"
    )
    module = forms.ChoiceField(required=False, label="Module")
    waiting = forms.ChoiceField(
        required=False, choices=[("", ""), ("me", "me")], widget=forms.HiddenInput
    )
    field_order = ("cohort", "apprentice", "module", "state", "waiting")

    def __init__(self, *args: Any, sessions: SessionQuerySet, academy: Academy, person: Person,
                 **kwargs: Any) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.person = person
        members = Membership.objects.filter(academy=academy, role=Role.APPRENTICE)
        apprentices = Person.objects.filter(memberships__in=members).distinct().order_by("name")
        cohorts = Cohort.objects.filter(academy=academy).order_by("-starts_on", "name")
        self.fields["cohort"].queryset = cohorts  # type: ignore[attr-defined]
        self.fields["apprentice"].queryset = apprentices  # type: ignore[attr-defined]
        self.fields["module"].choices = [  # type: ignore[attr-defined]
            ("", "Every module"),
            *module_choices(sessions),
        ]
        self.fields["state"].choices = [  # type: ignore[attr-defined]
            ("", "Every state"),
            *PracticeSession.State.choices,
            (PAST_CEILING, "past the ceiling"),
        ]

    def condition(self) -> Q:
        chosen = self.chosen
        state = chosen.get("state", "")
        condition = in_state("" if state == PAST_CEILING else state)
        if state == PAST_CEILING:
            condition &= Q(pk__in=_past_ceiling())
        if "waiting" in chosen:
            condition &= in_state(PracticeSession.State.WAITING) & Q(supervisor=self.person)
        if "module" in chosen:
            condition &= Q(module_version__module__token=chosen["module"])
        if "apprentice" in chosen:
            condition &= Q(apprentice=chosen["apprentice"])
        if "cohort" in chosen:
            held = CohortPlace.objects.current().filter(cohort=chosen["cohort"])
            condition &= Q(apprentice__in=held.values("person"))
        return condition


def _past_ceiling() -> Any:
    return StrandCheck.objects.exclude(past_ceiling="").values("session")
