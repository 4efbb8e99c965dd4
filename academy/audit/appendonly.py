"""Bases for rows that stand: never changed and never deleted, at all or from a state on.

A correction is a new row that names the old one. The database holds the same rule by triggers
(`academy.audit.triggers`), for what does not come through these classes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, NoReturn, TypeVar

from django.db import models

from academy.audit.errors import AuditError

if TYPE_CHECKING:
    from collections.abc import Iterable

M = TypeVar("M", bound=models.Model)


def _refuse(model: type[models.Model]) -> NoReturn:
    name = model._meta.verbose_name
    raise AuditError(
        f"This {name} stands as it is: it can be neither changed nor deleted. "
        "Write a new one that corrects it and names it."
    )


class AppendOnlyQuerySet(models.QuerySet[M, M]):
    """Reads and adds; refuses to change or delete."""

    def update(self, **_: Any) -> NoReturn:
        _refuse(self.model)

    def delete(self) -> NoReturn:
        _refuse(self.model)

    def bulk_update(self, *_: Any, **__: Any) -> NoReturn:
        _refuse(self.model)

    def bulk_create(self, *args: Any, **kwargs: Any) -> list[M]:
        if kwargs.get("update_conflicts"):
            _refuse(self.model)
        return super().bulk_create(*args, **kwargs)


class AppendOnlyModel(models.Model):
    """A row that is written once. Its manager is made from an `AppendOnlyQuerySet` (checked)."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            _refuse(type(self))
        # A key of its own choosing must not turn the insert into an update.
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)

    def delete(self, *_: Any, **__: Any) -> NoReturn:
        _refuse(type(self))


class FrozenQuerySet(models.QuerySet[M, M]):
    """Refuses to change or delete rows that are frozen as they are stored."""

    def frozen(self) -> models.QuerySet[M, M]:
        """The rows of this set that stand."""
        return self.filter(frozen_when(self.model))

    def update(self, **kwargs: Any) -> int:
        self._refuse_frozen(self, kwargs)
        return super().update(**kwargs)

    def delete(self) -> tuple[int, dict[str, int]]:
        self._refuse_frozen(self, ())
        return super().delete()

    def bulk_update(
        self, objs: Iterable[M], fields: Iterable[str], *args: Any, **kwargs: Any
    ) -> int:
        rows, names = list(objs), list(fields)
        found = self.model._base_manager.filter(pk__in=[row.pk for row in rows])
        self._refuse_frozen(found, names)
        return super().bulk_update(rows, names, *args, **kwargs)

    def bulk_create(self, *args: Any, **kwargs: Any) -> list[M]:
        if kwargs.get("update_conflicts"):
            _refuse(self.model)
        return super().bulk_create(*args, **kwargs)

    def _refuse_frozen(self, rows: models.QuerySet[M, M], changed: Iterable[str]) -> None:
        if not _allowed(self.model, changed) and rows.filter(frozen_when(self.model)).exists():
            _refuse(self.model)


class FrozenModel(models.Model):
    """A row that may be worked on until it freezes.

    `frozen_when` says by a condition which stored rows are frozen: `Q(state="submitted")`, or
    `Q(assessment__state="submitted")` for a row that freezes with its parent.
    `frozen_except` names the fields that may still change on a frozen row, such as `state`,
    by `save(update_fields=…)` or `update(…)`. Its manager is made from a `FrozenQuerySet`.
    """

    frozen_when: ClassVar[models.Q]
    frozen_except: ClassVar[tuple[str, ...]] = ()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding and not _allowed(type(self), kwargs.get("update_fields") or ()):
            self._refuse_if_frozen()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        self._refuse_if_frozen()
        return super().delete(*args, **kwargs)

    def _refuse_if_frozen(self) -> None:
        model = type(self)
        if model._base_manager.filter(frozen_when(model), pk=self.pk).exists():
            _refuse(model)


def frozen_when(model: type[models.Model]) -> models.Q:
    """The condition under which a stored row of this model is frozen."""
    condition = getattr(model, "frozen_when", None)
    if not isinstance(condition, models.Q):
        raise TypeError(f"{model.__name__} is a FrozenModel and needs `frozen_when = Q(…)`.")
    return condition


def _allowed(model: type[models.Model], changed: Iterable[str]) -> bool:
    names = set(changed)
    return bool(names) and names <= set(getattr(model, "frozen_except", ()))
