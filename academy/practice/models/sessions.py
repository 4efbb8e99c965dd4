"""The practice log: sittings on a block, and the strand checks made in them."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit
from academy.curriculum.models import ModuleVersion, choices
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.practice.words import counted_words
from academy.web.tokens import TokenField


class SessionQuerySet(models.QuerySet["PracticeSession", "PracticeSession"]):
    def visible_to(self, person: Person, academy: Academy) -> SessionQuerySet:
        """An apprentice sees their own sessions; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        sessions = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return sessions.filter(apprentice=person)
        return sessions

    def counted(self) -> SessionQuerySet:
        """Sessions that stand: not taken back by the apprentice."""
        return self.filter(taken_back_at__isnull=True)

    def waiting(self) -> SessionQuerySet:
        """Sessions whose supervisor has not answered yet."""
        return self.counted().filter(supervisor__isnull=False, confirmation__isnull=True)

    def for_list(self) -> SessionQuerySet:
        """What a row of a list shows: three queries, however many sessions there are."""
        return self.select_related(
            "apprentice", "supervisor", "module_version__module", "confirmation"
        ).prefetch_related("units", "strand_checks")


class PracticeSession(models.Model):
    """One sitting on a block. `client_key` makes a double submit one row."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting for confirmation"
        CONFIRMED = "confirmed", "confirmed"
        DIFFERENT = "different", "it was different"
        ALONE = "alone", "nobody stood beside"
        TAKEN_BACK = "taken-back", "taken back"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="practice_sessions")
    module_version = models.ForeignKey(
        ModuleVersion, models.PROTECT, related_name="practice_sessions"
    )
    client_key = models.CharField(max_length=64)
    started_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField()
    zones = models.JSONField(default=list, blank=True)
    criteria = models.JSONField(default=list, blank=True)
    # What the strand checks were held to: see academy.practice.timing.Timing.kept.
    timing = models.JSONField(default=dict, blank=True)
    went_well = models.TextField(max_length=1000, blank=True)
    to_change = models.TextField(max_length=1000, blank=True)
    supervisor = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="supervised_sessions"
    )
    logged_at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    objects = SessionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["apprentice", "client_key"], name="practice_session_sent_once"
            ),
            models.CheckConstraint(
                condition=Q(minutes__gte=1, minutes__lte=720), name="practice_session_minutes_range"
            ),
            models.CheckConstraint(
                condition=Q(supervisor__isnull=True) | ~Q(supervisor=models.F("apprentice")),
                name="practice_session_supervisor_other",
            ),
        ]
        indexes = [models.Index(fields=["apprentice", "module_version", "started_at"])]
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}, {self.started_at:%d %b %Y}"

    @property
    def state(self) -> State:
        """Where the session stands between apprentice and supervisor. No query after `for_list`."""
        if self.taken_back_at is not None:
            return self.State.TAKEN_BACK
        if self.supervisor_id is None:
            return self.State.ALONE
        if not hasattr(self, "confirmation"):
            return self.State.WAITING
        return self.State.CONFIRMED if self.confirmation.confirmed else self.State.DIFFERENT

    @property
    def past_ceiling(self) -> bool:
        """Whether a strand check tells of a ceiling that was not kept."""
        return any(check.past_ceiling for check in self.strand_checks.all())


class UnitsDone(models.Model):
    """How many of one unit were done in a sitting, of one kind where a tag says so."""

    session = models.ForeignKey(PracticeSession, models.CASCADE, related_name="units")
    unit = models.CharField(max_length=8, choices=choices(PracticeUnit))
    count = models.PositiveSmallIntegerField()
    tag = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["session", "unit", "tag"], name="practice_units_once"),
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=500), name="practice_units_count_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} {self.count}"

    @property
    def words(self) -> str:
        """For example "2 heads, resistant"."""
        return counted_words(self.count, self.unit, self.tag)


class SessionConfirmation(AppendOnlyModel):
    """The supervisor's own word that a session took place, or that it did not."""

    session = models.OneToOneField(PracticeSession, models.PROTECT, related_name="confirmation")
    supervisor = models.ForeignKey(Person, models.PROTECT, related_name="+")
    confirmed = models.BooleanField()
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["SessionConfirmation"].as_manager()

    def __str__(self) -> str:
        return "confirmed" if self.confirmed else "not confirmed"


class StrandCheck(models.Model):
    """A look at the hair under the product: where, when, what was seen, what was decided."""

    class Seen(models.TextChoices):
        TRANSLUCENT = "translucent", "translucent"
        COVERED = "covered", "covered"
        TARGET_REACHED = "target_reached", "target reached"
        TARGET_NOT_REACHED = "target_not_reached", "target not reached"

    class Decision(models.TextChoices):
        RINSE = "rinse", "rinse"
        EXTEND = "extend", "extend"
        STOP = "stop", "stop"

    session = models.ForeignKey(PracticeSession, models.CASCADE, related_name="strand_checks")
    zone = models.CharField(max_length=10, choices=choices(Zone))
    minute = models.PositiveSmallIntegerField(help_text="Minutes since the end of application.")
    wiped = models.BooleanField(default=True)
    last_place = models.BooleanField(default=True)
    seen = models.CharField(max_length=18, choices=Seen.choices)
    stretches_back = models.BooleanField(null=True)
    skin_calm = models.BooleanField(null=True)
    decision = models.CharField(max_length=6, choices=Decision.choices)
    past_ceiling = models.CharField(
        max_length=300, blank=True, help_text="What happened, where the ceiling was not kept."
    )
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(minute__lte=180), name="practice_strandcheck_minute_range"
            ),
        ]
        ordering = ["minute"]

    def __str__(self) -> str:
        return f"{self.zone} at {self.minute} min: {self.seen}"
