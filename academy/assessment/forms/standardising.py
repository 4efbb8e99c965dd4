"""Forms of reference heads and of rated feedback."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from academy.assessment.forms.chair import chosen_fault
from academy.assessment.forms.deciding import ModuleField
from academy.assessment.services.standardising import AgreedFault, places_of
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import Level
from academy.curriculum.models import ModuleVersion
from academy.curriculum.reference import practice_faults
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from academy.assessment.models import ReferenceHead
    from academy.people.models import Academy

FAULTS = 6


class ReferenceForm(BlockworkForm):
    """Which module, and what assessors are told."""

    deed = "can be begun"
    module = ModuleField(ModuleVersion.objects.none(), to_field_name="module__token")
    name = forms.CharField(max_length=80, help_text="For example: nape too thin.")
    about = forms.CharField(
        required=False,
        max_length=2000,
        label="What assessors are told",
        help_text="Where the head stands, what was asked for.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["module"].queryset = (  # type: ignore[attr-defined]
            ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
            .select_related("module")
            .order_by("module__position")
        )


class AgreedForm(BlockworkForm):
    """The agreed level and reason in every place, and up to six faults with their zone."""

    deed = "can be kept"

    def __init__(self, *args: Any, reference: ReferenceHead, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        version = reference.module_version
        self.version = version
        self.places = list(places_of(version))
        have = {(row.criterion_id, row.zone): row for row in reference.levels.all()}
        words = [("", "–"), *((str(one.value), f"{one:d} {one.word}") for one in Level)]
        for criterion, zone in self.places:
            row = have.get((criterion.pk, zone))
            where = Zone(zone).words if zone else "whole head"
            key = f"{criterion.code}-{zone}"
            self.fields[f"level-{key}"] = forms.ChoiceField(
                required=False,
                choices=words,
                label=f"{criterion.code} {criterion.title}, {where}",
                initial="" if row is None else str(row.level),
            )
            self.fields[f"reason-{key}"] = forms.CharField(
                required=False,
                max_length=300,
                label=f"Why ({criterion.code}, {where})",
                initial="" if row is None else row.reason,
            )
        self._fault_fields(reference)

    def _fault_fields(self, reference: ReferenceHead) -> None:
        own = [(f"own-{one.position}", one.fault) for one in self.version.faults.all()]
        common = [(one.id, one.word) for one in practice_faults()]
        zones = [("", "–"), *((zone.value, zone.words) for zone in Zone)]
        rows = list(reference.faults.all())
        for number in range(1, FAULTS + 1):
            row = rows[number - 1] if number <= len(rows) else None
            chosen = ""
            if row is not None:
                chosen = row.common if row.fault is None else f"own-{row.fault.position}"
            self.fields[f"fault-{number}"] = forms.ChoiceField(
                required=False,
                label=f"Fault {number}",
                choices=[("", "–"), ("This module", own), ("Every sheet", common)],
                initial=chosen,
            )
            self.fields[f"zone-{number}"] = forms.ChoiceField(
                required=False,
                label=f"Zone of fault {number}",
                choices=zones,
                initial=row.zone if row else "",
            )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for criterion, zone in self.places:
            key = f"{criterion.code}-{zone}"
            if data.get(f"level-{key}") and not data.get(f"reason-{key}", "").strip():
                self.add_error(
                    f"reason-{key}", "Say what shows this level, for example: white at parting 3."
                )
        for number in range(1, FAULTS + 1):
            if data.get(f"fault-{number}") and not data.get(f"zone-{number}"):
                self.add_error(f"zone-{number}", "Choose the zone the fault lies in.")
        return data

    def levels(self) -> dict[tuple[str, str], tuple[int, str]]:
        """(criterion code, zone) to level and reason, for the places that have one."""
        data = self.cleaned_data
        return {
            (one.code, zone): (
                int(data[f"level-{one.code}-{zone}"]),
                data[f"reason-{one.code}-{zone}"],
            )
            for one, zone in self.places
            if data[f"level-{one.code}-{zone}"]
        }

    def faults(self) -> list[AgreedFault]:
        found = []
        for number in range(1, FAULTS + 1):
            choice = self.cleaned_data[f"fault-{number}"]
            if choice:
                fault, common = chosen_fault(self.version, choice)
                zone = Zone(self.cleaned_data[f"zone-{number}"])
                found.append(AgreedFault(zone, fault, common))
        return found


class RatingForm(BlockworkForm):
    """How good a feedback text is."""

    deed = "can be rated"
    rating = forms.TypedChoiceField(
        coerce=int,
        choices=[
            (0, "0 nothing in it can be used"),
            (1, "1 says that something is wrong, not what"),
            (2, "2 says what and where"),
            (3, "3 says what, where and why"),
            (4, "4 says what, where, why, and what to do by when"),
        ],
        widget=forms.RadioSelect,
    )
