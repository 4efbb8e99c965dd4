"""Assessments: one assessor's marking of one piece of work."""

from __future__ import annotations

from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.utils import timezone

from academy.assessment.models.bookings import Booking
from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.curriculum.models import ModuleVersion, RuleSet
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField


class AssessmentQuerySet(FrozenQuerySet["Assessment"]):
    def visible_to(self, person: Person, academy: Academy) -> AssessmentQuerySet:
        """An apprentice sees their own submitted first marks; a second look is not theirs to read,
        whatever other roles they hold.

        Staff see all submitted ones and their own, but marks of reference heads, which have pages
        of their own. Whoever assesses sees nothing of what `kept_blind` gives, unless they gave
        the first mark or it is their own head: any other may be asked to mark it blind.
        """
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        rows = rows.exclude(apprentice=person, kind=Assessment.Kind.SECOND)
        if Role.ASSESSOR in roles:
            kept = Assessment.objects.filter(academy=academy).kept_blind()
            kept = kept.exclude(assessor=person).exclude(apprentice=person).order_by()
            rows = rows.exclude(pk__in=kept.values("pk"))
        submitted = Q(state=Assessment.State.SUBMITTED)
        if roles == (Role.APPRENTICE,):
            return rows.filter(submitted, apprentice=person)
        compared = Q(kind=Assessment.Kind.STANDARDISATION)
        own_draft = Q(assessor=person, state=Assessment.State.DRAFT)
        return rows.filter((submitted & ~compared) | own_draft)

    def waiting_for_second(self) -> AssessmentQuerySet:
        """First marks that stand while somebody else has to mark the same head, and has not."""
        looked = Assessment.objects.filter(
            second_of=OuterRef("pk"), state=Assessment.State.SUBMITTED
        )
        wanted = Q(second_asked__isnull=False, second_asked__called_off__isnull=True)
        asked = Q(outcome__second_needed=True) | wanted
        waits = self.counting().filter(asked, ~Exists(looked), kind=Assessment.Kind.FIRST)
        return waits.distinct()

    def undecided(self) -> AssessmentQuerySet:
        """What `Assessment.shown` calls second: those that wait, or whose marks differ still."""
        second = Assessment.objects.filter(
            second_of=OuterRef("pk"), state=Assessment.State.SUBMITTED
        )
        agrees = second.filter(outcome__by_marks=OuterRef("outcome__by_marks"))
        ruled = Q(ruling__isnull=False) & ~Q(ruling__decision="one_more")
        differs = Q(Exists(second)) & ~Q(Exists(agrees)) & ~ruled
        waiting = Assessment.objects.waiting_for_second().order_by().values("pk")
        return self.counting().filter(Q(pk__in=waiting) | differs, kind=Assessment.Kind.FIRST)

    def kept_blind(self) -> AssessmentQuerySet:
        """First marks that tell of a head which somebody may have to mark blind yet."""
        return self._telling_of(Assessment.objects.waiting_for_second())

    def withheld(self) -> AssessmentQuerySet:
        """First marks that tell of a head whose outcome its apprentice does not read yet."""
        return self._telling_of(Assessment.objects.undecided())

    def _telling_of(self, open_ones: AssessmentQuerySet) -> AssessmentQuerySet:
        """These, and those withdrawn of what may be the same head.

        It may be while a head of the apprentice in that module is among them, or the one that
        takes its place is to be decided, whether or not that began with the withdrawn levels.
        """
        still_open = open_ones.order_by().values("pk")
        heads = Assessment.objects.filter(
            kind=Assessment.Kind.FIRST,
            apprentice=OuterRef("apprentice"),
            module_version__module=OuterRef("module_version__module"),
        ).order_by()
        decided_since = heads.counting().filter(submitted_at__gt=OuterRef("submitted_at"))
        decided_since = decided_since.exclude(pk__in=still_open)
        follows = Q(outcome__second_needed=True) | Q(second_asked__isnull=False)
        follows |= Q(Exists(heads.filter(state=Assessment.State.DRAFT)))
        may_be_same = Q(Exists(heads.filter(pk__in=still_open))) | (
            follows & ~Q(Exists(decided_since))
        )
        withdrawn = Assessment.objects.filter(
            may_be_same, kind=Assessment.Kind.FIRST, withdrawal__isnull=False
        )
        return self.filter(Q(pk__in=still_open) | Q(pk__in=withdrawn.order_by().values("pk")))

    def counting(self) -> AssessmentQuerySet:
        """Submitted, and not withdrawn since: what results, evidence and figures are made of."""
        submitted = self.filter(state=Assessment.State.SUBMITTED, withdrawal__isnull=True)
        return submitted.exclude(kind=Assessment.Kind.STANDARDISATION)

    def decided(self) -> AssessmentQuerySet:
        """Those that count, without first marks that wait for a second mark."""
        waiting = Assessment.objects.waiting_for_second().order_by().values("pk")
        return self.counting().exclude(pk__in=waiting)

    def for_list(self) -> AssessmentQuerySet:
        """With what a row of a list says."""
        return self.select_related(
            "apprentice",
            "assessor",
            "module_version",
            "outcome",
            "acknowledgement",
            "ruling",
            "withdrawal",
        ).prefetch_related("second_marks__outcome", "second_asked__called_off")

    def for_result(self) -> AssessmentQuerySet:
        """With everything that a result sheet shows."""
        return self.select_related(
            "academy",
            "apprentice",
            "assessor",
            "module_version__module",
            "rule_set",
            "outcome",
            "acknowledgement",
            "ruling",
            "stop_event",
            "withdrawal__by",
            "again_of",
            "again",
            "reassessment",
            "second_of__reassessment",
            "second_of__outcome",
            "second_of__assessor",
            "second_of__ruling",
        ).prefetch_related(
            "marks",
            "zones_left_out",
            "fault_marks__fault",
            "feedback",
            "photos",
            "second_asked__called_off",
            "second_marks__outcome",
            "second_marks__assessor",
            "second_of__second_marks__outcome",
            "second_of__second_marks__assessor",
        )

    def for_touch(self) -> AssessmentQuerySet:
        """With what saving a touch on the head reads. Three queries."""
        return self.for_level().prefetch_related("zones_left_out", "fault_marks")

    def for_level(self) -> AssessmentQuerySet:
        """With what saving a level, a rating or a note reads. One query."""
        return self.select_related(
            "academy",
            "apprentice",
            "assessor",
            "module_version",
            "rule_set",
            "stop_event",
            "reassessment",
            "second_of__reassessment",
        )

    def for_scoring(self) -> AssessmentQuerySet:
        """With all that the scoring page and the outcome read. Four queries."""
        return self.for_touch().prefetch_related("marks")


class Assessment(FrozenModel):
    """One assessor's marking of one piece of work: a draft, then submitted, and it stands."""

    frozen_when = Q(state="submitted")

    class Kind(models.TextChoices):
        FIRST = "first", "first mark"
        SECOND = "second", "second mark"
        STANDARDISATION = "standardisation", "standardisation"

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        SUBMITTED = "submitted", "submitted"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="assessments")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="assessments")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="given_assessments")
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, null=True, related_name="+")
    booking = models.ForeignKey(
        Booking, models.PROTECT, null=True, blank=True, related_name="assessments"
    )
    kind = models.CharField(max_length=15, choices=Kind.choices, default=Kind.FIRST)
    second_of = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="second_marks"
    )
    again_of = models.OneToOneField(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="again",
        help_text="The withdrawn submission whose levels this one began with.",
    )
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT)
    revision = models.PositiveIntegerField(default=0)
    started_at = models.DateTimeField(default=timezone.now)
    changed_at = models.DateTimeField(default=timezone.now)
    submitted_at = models.DateTimeField(null=True, blank=True)
    minutes_used = models.PositiveSmallIntegerField(null=True, blank=True)
    overall = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    touch_keys = models.JSONField(
        null=True, blank=True, help_text="The newest touches that came from a device's outbox."
    )

    objects = AssessmentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(assessor=F("apprentice")), name="assessment_assessment_not_oneself"
            ),
            models.CheckConstraint(
                condition=Q(overall__isnull=True) | Q(overall__gte=1, overall__lte=5),
                name="assessment_assessment_overall_range",
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(submitted_at__isnull=False),
                name="assessment_assessment_submitted_when",
            ),
            models.UniqueConstraint(
                fields=["apprentice", "module_version", "assessor"],
                condition=Q(state="draft"),
                name="assessment_assessment_one_draft",
            ),
            models.UniqueConstraint(
                fields=["apprentice", "module_version"],
                condition=Q(state="draft", kind="first"),
                name="assessment_assessment_one_marks_first",
            ),
            models.CheckConstraint(
                condition=~Q(kind="second") | Q(second_of__isnull=False),
                name="assessment_assessment_second_of_what",
            ),
        ]
        indexes = [models.Index(fields=["apprentice", "module_version", "submitted_at"])]
        ordering = ["-started_at"]

    @property
    def second(self) -> Assessment | None:
        """The submitted second mark of the same work; prefetch `second_marks__outcome`."""
        rows = self.second_marks.all()
        return next((row for row in rows if row.state == self.State.SUBMITTED), None)

    @property
    def mark_that_stands(self) -> Assessment:
        """The second mark where a verifier ruled so, else this one; select `ruling` for lists."""
        ruling, second = getattr(self, "ruling", None), None
        if ruling is not None and ruling.decision == "second":
            second = self.second
        return second or self

    @property
    def withdrawn(self) -> bool:
        """Whether it counts nowhere any more; select `withdrawal` for lists."""
        return hasattr(self, "withdrawal")

    @property
    def needs_second(self) -> bool:
        """Whether a second mark was asked for, then or since, and not called off.

        Prefetch `second_asked__called_off` for lists.
        """
        asked = self.second_asked.all()
        return self.outcome.second_needed or not all(hasattr(row, "called_off") for row in asked)

    @property
    def shown(self) -> str:
        """The mark to show for a submitted one: competent, notyet, or second while undecided.

        One that its assessor took back shows as withdrawn.
        """
        if self.withdrawn:
            return "withdrawn"
        own, second, ruling = self.outcome, self.second, getattr(self, "ruling", None)
        if second is None:
            return "second" if self.needs_second else own.mark
        if second.outcome.by_marks == own.by_marks:
            return own.mark
        if ruling is None or ruling.decision == "one_more":
            return "second"
        return own.mark if ruling.decision == "first" else second.outcome.mark

    @property
    def on_paper(self) -> bool:
        """Whether it was marked on a paper sheet first: a photo of the sheet says so."""
        return any(photo.shows == "paper" for photo in self.photos.all())

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}, {self.started_at:%d %b %Y}"
