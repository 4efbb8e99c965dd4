"""A model whose rows stand must not have a manager that lets them be changed."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.core.checks import CheckMessage, Error

from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)


def managers_keep_what_stands(**_: Any) -> list[CheckMessage]:
    """`audit.E001` for an append-only or freezing model with a plain manager."""
    found: list[CheckMessage] = []
    for model in apps.get_models():
        wanted = _wanted(model)
        made = type(model._default_manager.all())
        if wanted and not issubclass(made, wanted):
            message = f"{model.__name__} needs `objects` made from a {wanted.__name__}."
            found.append(Error(message, obj=model, id="audit.E001"))
    return found


def _wanted(model: type) -> type | None:
    if issubclass(model, AppendOnlyModel):
        return AppendOnlyQuerySet
    return FrozenQuerySet if issubclass(model, FrozenModel) else None
