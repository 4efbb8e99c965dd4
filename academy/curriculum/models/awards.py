"""The sets of modules that are certified."""

from __future__ import annotations

from django.db import models

from academy.curriculum.models.modules import Module
from academy.people.models import Academy, Person, held_roles_of
from academy.web.tokens import TokenField


class AwardQuerySet(models.QuerySet["Award", "Award"]):
    def visible_to(self, person: Person, academy: Academy) -> AwardQuerySet:
        """Every member sees the academy's awards."""
        return self.filter(academy=academy) if held_roles_of(person, academy) else self.none()

    def for_list(self) -> AwardQuerySet:
        """With its modules in the order of the list. Two queries."""
        modules = Module.objects.order_by("position", "key")
        return self.prefetch_related(models.Prefetch("modules", modules))


class Award(models.Model):
    """The set of modules that is certified together."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="awards")
    key = models.SlugField(max_length=40)
    position = models.PositiveSmallIntegerField(default=0)
    title = models.CharField(max_length=120)
    modules = models.ManyToManyField(Module, related_name="awards")
    months_valid = models.PositiveSmallIntegerField(default=24)
    mannequin_counts = models.BooleanField(default=True)
    two_assessors = models.BooleanField(default=True)

    objects = AwardQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "key"], name="curriculum_award_key_once"),
        ]
        ordering = ["position", "key"]

    def __str__(self) -> str:
        return self.title
