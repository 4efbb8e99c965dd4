"""Forms of reference heads and of rated feedback."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from academy.assessment.forms.deciding import ModuleField
from academy.assessment.in_hand import read_place, written_place
from academy.assessment.mark_text import chosen_fault
from academy.assessment.score_head import place_of
from academy.assessment.services.standardising import AgreedFault, places_of
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import Level
from academy.curriculum.models import ModuleVersion
from academy.curriculum.reference import practice_faults
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from academy.assessment.models import ReferenceFault, ReferenceHead
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
    """The agreed level and reason in every place, and up to six faults with their place.

    A fault lies where it was tapped or typed, else in the middle of its zone.
    """

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
            self.fields[f"place-{number}"] = forms.CharField(
                required=False,
                max_length=30,
                label=f"Place of fault {number}",
                initial="" if row is None else _written(row),
            )

    @property
    def level_fields(self) -> list[forms.BoundField]:
        """What was agreed in each place, and why."""
        names = [name for name in self.fields if name.startswith(("level-", "reason-"))]
        return [self[name] for name in names]

    @property
    def fault_rows(self) -> list[tuple[int, list[forms.BoundField]]]:
        """Which fault, its zone and its place, by number."""
        parts = ("fault", "zone", "place")
        return [
            (number, [self[f"{part}-{number}"] for part in parts])
            for number in range(1, FAULTS + 1)
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for criterion, zone in self.places:
            key = f"{criterion.code}-{zone}"
            if data.get(f"level-{key}") and not data.get(f"reason-{key}", "").strip():
                self.add_error(
                    f"reason-{key}", "Say what shows this level, for example: white at parting 3."
                )
        for number in range(1, FAULTS + 1):
            if data.get(f"fault-{number}"):
                self._check_place(number, data.get(f"place-{number}", ""))
        return data

    def _check_place(self, number: int, text: str) -> None:
        if not text.strip():
            if not self.cleaned_data.get(f"zone-{number}"):
                self.add_error(f"zone-{number}", "Tap the place, or choose the zone it lies in.")
            return
        at = read_place(text)
        if at is None:
            self.add_error(f"place-{number}", "Give degrees round and up, for example 135 40.")
        elif at.zone is None:
            self.add_error(f"place-{number}", "That is beside the hair. Choose another place.")

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
                tapped = read_place(self.cleaned_data[f"place-{number}"])
                at = tapped or zone_centre(Zone(self.cleaned_data[f"zone-{number}"]))
                found.append(AgreedFault(at, fault, common))
        return found


def _written(row: ReferenceFault) -> str:
    """The place of a fault; empty for the middle of its zone."""
    at = place_of(row)
    return "" if at == zone_centre(Zone(row.zone)) else written_place(at)


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
