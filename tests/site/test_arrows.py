"""Rows point only downwards: a table may name one of its own app or of an app below it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.apps import apps

if TYPE_CHECKING:
    from django.db import models

# The order of design.md; a lower number may not know a higher one.
FLOORS = {
    "web": 0,
    "audit": 1,
    "people": 2,
    "curriculum": 3,
    "exercises": 4,
    "practice": 4,
    "assessment": 5,
    "awards": 6,
    "reports": 7,
    "demo": 8,
}


def floor(model: type[models.Model]) -> int:
    """The floor of one of our apps; what came with a package lies below all of them."""
    return FLOORS[model._meta.app_label] if ours(model) else -1


def ours(model: type[models.Model]) -> bool:
    return model.__module__.startswith("academy.")


def relations() -> list[tuple[type[models.Model], models.Field[object, object]]]:
    """Every foreign key, one-to-one and many-to-many that one of our concrete models writes."""
    return [
        (model, field)
        for model in apps.get_models(include_auto_created=True)
        if ours(model)
        for field in [*model._meta.local_fields, *model._meta.local_many_to_many]
        if field.is_relation
    ]


def test_every_app_of_ours_has_its_floor() -> None:
    found = {config.label for config in apps.get_app_configs() if config.name.startswith("academy")}
    assert found == set(FLOORS)


def test_a_row_points_only_downwards() -> None:
    assert len(relations()) > 50
    wrong = [
        f"{model._meta.label}.{field.name} -> {field.related_model._meta.label}"
        for model, field in relations()
        if isinstance(field.related_model, type)
        and (
            floor(field.related_model) > floor(model)
            or (
                floor(field.related_model) == floor(model)
                and field.related_model._meta.app_label != model._meta.app_label
            )
        )
    ]
    assert wrong == []


def test_no_row_points_at_anything_through_a_general_key() -> None:
    """A content type can point at any table, so no arrow would hold."""
    wrong = [
        f"{model._meta.label}.{field.name}"
        for model, field in relations()
        if isinstance(field.related_model, type)
        and field.related_model._meta.app_label == "contenttypes"
    ]
    assert wrong == []
