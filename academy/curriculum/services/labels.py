"""Product labels: a maker's instructions as the academy entered them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from academy.audit.services import record
from academy.craft.rules import Label, RuleError, Rules, standard_rules
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import ProductLabel
from academy.curriculum.services.common import actor_id, lock_curriculum, require_educator

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.people.models import Academy, Person

LONGEST_KEY = 40
LONGEST_NAME = 80


@transaction.atomic
def enter_label(
    *,
    academy: Academy,
    by: Person | None,
    name: str,
    fields: Mapping[str, Any],
    key: str = "",
    label: ProductLabel | None = None,
) -> ProductLabel:
    """Enter a label, or correct `label`; papers keep what they were drawn and marked with.

    `fields` are those of `craft.rules.Label` without the name. `CurriculumError` when one of them
    cannot be read or lies outside the range of a rule that a label may set.
    """
    require_educator(academy, by)
    lock_curriculum(academy)
    kept = _checked(name, fields)
    row = label or ProductLabel(academy=academy, key=(key or slugify(name))[:LONGEST_KEY])
    _refuse_twice(row, academy, name)
    row.name, row.fields = name, kept
    row.entered_by, row.entered_at = by, timezone.now()
    row.save()
    record(
        academy_id=academy.pk,
        actor_id=actor_id(by),
        action="curriculum.label.corrected" if label else "curriculum.label.entered",
        subject=row,
        details={"label": row.key},
    )
    return row


def _checked(name: str, fields: Mapping[str, Any]) -> dict[str, Any]:
    if not name.strip() or len(name) > LONGEST_NAME:
        raise CurriculumError("Give the product a name of at most 80 characters.", field="name")
    try:
        label = Label.from_data({**fields, "name": name})
        Rules(standard_rules(), label=label)
    except RuleError as error:
        raise CurriculumError(str(error)) from error
    data = label.to_data()
    del data["name"]
    return data


def _refuse_twice(row: ProductLabel, academy: Academy, name: str) -> None:
    others = ProductLabel.objects.filter(academy=academy).exclude(pk=row.pk)
    if not row.key or others.filter(key=row.key).exists() or others.filter(name=name).exists():
        raise CurriculumError(
            f"“{name}” stands in the list already, or its name holds no letters. Correct that "
            "one, or give this one another name.",
            field="name",
        )
