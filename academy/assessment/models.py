"""Bookings, assessments with their marks and outcomes, sign-offs and verifications."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from academy.assessment.boxes import WHOLE_HEAD
from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)
from academy.craft.head.zones import Zone
from academy.curriculum.models import Criterion, Fault, ModuleVersion, RuleSet, choices
from academy.curriculum.reference import practice_faults
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

STAFF = (Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)


class BookingQuerySet(models.QuerySet["Booking", "Booking"]):
    def visible_to(self, person: Person, academy: Academy) -> BookingQuerySet:
        """An apprentice sees their own bookings; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        bookings = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return bookings.filter(apprentice=person)
        return bookings


class Booking(models.Model):
    """An apprentice's wish to be assessed, then the place and time with an assessor."""

    class State(models.TextChoices):
        ASKED = "asked", "asked for"
        BOOKED = "booked", "booked"
        DONE = "done", "done"
        CANCELLED = "cancelled", "cancelled"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="bookings")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="+")
    state = models.CharField(max_length=9, choices=State.choices, default=State.ASKED)
    asked_at = models.DateTimeField(default=timezone.now)
    assessor = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField(null=True, blank=True)
    place = models.CharField(max_length=80, blank=True)
    booked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    cancelled_reason = models.CharField(max_length=200, blank=True)

    objects = BookingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["apprentice", "module_version"],
                condition=Q(state__in=["asked", "booked"]),
                name="assessment_booking_one_open",
            ),
            models.CheckConstraint(
                condition=Q(assessor__isnull=True) | ~Q(assessor=F("apprentice")),
                name="assessment_booking_not_oneself",
            ),
            models.CheckConstraint(
                condition=~Q(state="booked") | Q(assessor__isnull=False, at__isnull=False),
                name="assessment_booking_who_and_when",
            ),
        ]
        ordering = ["asked_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}, {self.get_state_display()}"


class AssessmentQuerySet(FrozenQuerySet["Assessment"]):
    def visible_to(self, person: Person, academy: Academy) -> AssessmentQuerySet:
        """An apprentice sees their own submitted assessments.

        An assessor sees their own and all submitted ones, other staff all submitted ones. (Blind
        second marks will narrow this further in their own issue.)
        """
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        submitted = Q(state=Assessment.State.SUBMITTED)
        if roles == (Role.APPRENTICE,):
            return rows.filter(submitted, apprentice=person)
        return rows.filter(submitted | Q(assessor=person))

    def for_list(self) -> AssessmentQuerySet:
        """With what a row of a list says."""
        return self.select_related(
            "apprentice", "assessor", "module_version", "outcome", "acknowledgement"
        ).prefetch_related("second_marks")

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
        ).prefetch_related(
            "marks__criterion",
            "zones_left_out",
            "fault_marks__fault",
            "module_version__criteria",
            "feedback__corrected_by",
            "second_marks__outcome",
        )

    def for_scoring(self) -> AssessmentQuerySet:
        """With everything that the scoring page and the outcome read."""
        return self.select_related(
            "academy", "apprentice", "assessor", "module_version", "rule_set", "stop_event"
        ).prefetch_related(
            "marks__criterion",
            "zones_left_out",
            "fault_marks__fault",
            "module_version__criteria",
            "module_version__faults",
            "module_version__sheets",
        )


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
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT)
    revision = models.PositiveIntegerField(default=0)
    started_at = models.DateTimeField(default=timezone.now)
    changed_at = models.DateTimeField(default=timezone.now)
    submitted_at = models.DateTimeField(null=True, blank=True)
    minutes_used = models.PositiveSmallIntegerField(null=True, blank=True)
    overall = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)

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
            models.CheckConstraint(
                condition=~Q(kind="second") | Q(second_of__isnull=False),
                name="assessment_assessment_second_of_what",
            ),
        ]
        indexes = [models.Index(fields=["apprentice", "module_version", "submitted_at"])]
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}, {self.started_at:%d %b %Y}"


class Mark(FrozenModel):
    """A level for one criterion, in one judged zone or for the whole head (zone empty)."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="marks")
    criterion = models.ForeignKey(Criterion, models.PROTECT, related_name="+")
    zone = models.CharField(max_length=10, blank=True, choices=choices(Zone))
    level = models.PositiveSmallIntegerField()
    at = models.DateTimeField(default=timezone.now)

    objects = FrozenQuerySet["Mark"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "criterion", "zone"], name="assessment_mark_place_once"
            ),
            models.CheckConstraint(
                condition=Q(level__gte=0, level__lte=4), name="assessment_mark_level_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.criterion.code} {self.zone} {self.level}"


class ZoneLeftOut(FrozenModel):
    """A judged zone that was not covered that day, with the reason."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="zones_left_out")
    zone = models.CharField(max_length=10, choices=choices(Zone))
    reason = models.CharField(max_length=200)

    objects = FrozenQuerySet["ZoneLeftOut"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "zone"], name="assessment_zoneleftout_once"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_zoneleftout_reason"),
        ]

    def __str__(self) -> str:
        return self.zone


class FaultMark(FrozenModel):
    """A fault at a place on the head, so that it shows in every view and on every head size."""

    frozen_when = Q(assessment__state="submitted")

    token = TokenField()
    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="fault_marks")
    number = models.PositiveSmallIntegerField()
    fault = models.ForeignKey(Fault, models.PROTECT, null=True, blank=True, related_name="+")
    common = models.SlugField(max_length=24, blank=True, help_text="A fault common to every sheet.")
    azimuth_deg = models.DecimalField(max_digits=6, decimal_places=2)
    elevation_deg = models.DecimalField(max_digits=5, decimal_places=2)
    zone = models.CharField(max_length=10, choices=choices(Zone))
    note = models.CharField(max_length=200, blank=True)

    objects = FrozenQuerySet["FaultMark"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "number"], name="assessment_faultmark_number_once"
            ),
            models.CheckConstraint(
                condition=Q(fault__isnull=False) | ~Q(common=""), name="assessment_faultmark_which"
            ),
            models.CheckConstraint(
                condition=Q(azimuth_deg__gte=-180, azimuth_deg__lte=180)
                & Q(elevation_deg__gte=-90, elevation_deg__lte=90),
                name="assessment_faultmark_on_the_head",
            ),
        ]
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.number} {self.zone}"

    @property
    def words(self) -> str:
        """Which fault it is; select `fault` for lists."""
        if self.fault is not None:
            return self.fault.fault
        return {known.id: known.word for known in practice_faults()}[self.common]


class StopEvent(FrozenModel):
    """Something that ended the head at once (`shared/stop_events.toml`)."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="stop_event")
    event = models.SlugField(max_length=40)
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = FrozenQuerySet["StopEvent"].as_manager()

    def __str__(self) -> str:
        return self.event


class Feedback(AppendOnlyModel):
    """One point of feedback in four boxes. Filled in later, it is a correction with its reason.

    `complete` boxes are counted by the parts that are filled: seen (zone and what), against
    (criterion and level), why, next (action, number, date).
    """

    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="feedback")
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    correction_reason = models.CharField(max_length=200, blank=True)
    written_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    written_at = models.DateTimeField(default=timezone.now)
    seen_zone = models.CharField(max_length=10, blank=True)
    seen_what = models.CharField(max_length=400, blank=True)
    against_criterion = models.CharField(max_length=8, blank=True)
    against_level = models.PositiveSmallIntegerField(null=True, blank=True)
    why = models.CharField(max_length=400, blank=True)
    next_action = models.CharField(max_length=300, blank=True)
    next_number = models.PositiveSmallIntegerField(null=True, blank=True)
    next_on = models.DateField(null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)

    objects = AppendOnlyQuerySet["Feedback"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(correction_reason=""),
                name="assessment_feedback_correction_reason",
            ),
            models.CheckConstraint(
                condition=Q(against_level__isnull=True)
                | Q(against_level__gte=0, against_level__lte=4),
                name="assessment_feedback_level_range",
            ),
        ]
        ordering = ["written_at", "pk"]

    def __str__(self) -> str:
        return f"feedback on {self.assessment}"

    @property
    def zone_words(self) -> str:
        """Where it was seen, the whole head included."""
        if not self.seen_zone:
            return ""
        return "the whole head" if self.seen_zone == WHOLE_HEAD else Zone(self.seen_zone).words


class FeedbackDraft(models.Model):
    """The boxes as they are being filled, before the assessment is submitted."""

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="feedback_draft")
    boxes = models.JSONField(default=dict)
    changed_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"draft feedback on {self.assessment}"


class Outcome(AppendOnlyModel):
    """What the marks came to, with every reason and the figures and rules it came from."""

    class ByMarks(models.TextChoices):
        COMPETENT = "competent", "competent"
        NOT_YET = "not_yet", "not yet"

    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="outcome")
    by_marks = models.CharField(max_length=9, choices=ByMarks.choices)
    second_needed = models.BooleanField()
    causes = models.JSONField(default=list)
    reasons = models.JSONField(default=list)
    head_mark = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    pass_line = models.DecimalField(max_digits=5, decimal_places=2)
    near_band = models.DecimalField(max_digits=5, decimal_places=2)
    figures = models.JSONField(
        default=dict, help_text="Inputs and results, enough to compute it again."
    )
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Outcome"].as_manager()

    def __str__(self) -> str:
        return self.get_by_marks_display()


class Acknowledgement(AppendOnlyModel):
    """The apprentice has read the result sheet; not the same as agreeing with it."""

    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="acknowledgement")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="+")
    disagrees = models.BooleanField(default=False)
    note = models.TextField(max_length=1000, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Acknowledgement"].as_manager()

    def __str__(self) -> str:
        return f"read by {self.apprentice}"


class Ruling(AppendOnlyModel):
    """A verifier's decision on two disagreeing assessments of the same work."""

    class Decision(models.TextChoices):
        FIRST = "first", "the first mark stands"
        SECOND = "second", "the second mark stands"
        ONE_MORE = "one_more", "one more head"

    first = models.OneToOneField(Assessment, models.PROTECT, related_name="ruling")
    second = models.OneToOneField(Assessment, models.PROTECT, related_name="+")
    verifier = models.ForeignKey(Person, models.PROTECT, related_name="+")
    decision = models.CharField(max_length=8, choices=Decision.choices)
    reason = models.TextField(max_length=2000)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Ruling"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_ruling_reason"),
        ]

    def __str__(self) -> str:
        return self.get_decision_display()


class SignOffQuerySet(AppendOnlyQuerySet["SignOff"]):
    def visible_to(self, person: Person, academy: Academy) -> SignOffQuerySet:
        """An apprentice sees their own sign-offs; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        return rows.filter(apprentice=person) if roles == (Role.APPRENTICE,) else rows

    def for_detail(self) -> SignOffQuerySet:
        """With the evidence and the verifications."""
        return self.select_related(
            "academy", "apprentice", "assessor", "module_version__module"
        ).prefetch_related(
            "assessments__assessor", "assessments__outcome", "verifications__verifier"
        )


class SignOff(AppendOnlyModel):
    """An assessor's signed decision that an apprentice is competent in a module version."""

    class Method(models.TextChoices):
        PASSWORD = "password", "password"
        PASSKEY = "passkey", "passkey"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="sign_offs")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="sign_offs")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="given_sign_offs")
    assessments = models.ManyToManyField(
        Assessment, through="SignOffAssessment", related_name="sign_offs"
    )
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, null=True, related_name="+")
    method = models.CharField(max_length=8, choices=Method.choices)
    valid = models.BooleanField()
    sufficient = models.BooleanField()
    authentic = models.BooleanField()
    current = models.BooleanField()
    signed_at = models.DateTimeField(default=timezone.now)
    in_date_until = models.DateField()

    objects = SignOffQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(assessor=F("apprentice")), name="assessment_signoff_not_oneself"
            ),
            models.CheckConstraint(
                condition=Q(valid=True, sufficient=True, authentic=True, current=True),
                name="assessment_signoff_four_ticks",
            ),
        ]
        indexes = [models.Index(fields=["apprentice", "module_version", "signed_at"])]
        ordering = ["-signed_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}"


class SignOffAssessment(AppendOnlyModel):
    """One of the assessments a sign-off rests on."""

    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="named")
    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["SignOffAssessment"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sign_off", "assessment"], name="assessment_signoffassessment_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sign_off} rests on {self.assessment}"


class SamplePlan(models.Model):
    """A batch of sign-offs, the promise made for it, and the seed it was drawn with."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    name = models.CharField(max_length=80)
    first_day = models.DateField()
    last_day = models.DateField()
    seed = models.PositiveBigIntegerField()
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="assessment_sampleplan_days_in_order",
            ),
        ]
        ordering = ["-first_day"]

    def __str__(self) -> str:
        return self.name


class SampledDecision(AppendOnlyModel):
    """A sign-off of a batch. `why` is empty for one that was not drawn."""

    class Why(models.TextChoices):
        NOT_DRAWN = "", "not drawn"
        RANDOM = "random", "drawn at random"
        NEW_ASSESSOR = "new_assessor", "one of a new assessor's first five"
        COVERAGE = "coverage", "added so that everybody appears"
        REPLACEMENT = "replacement", "replaces an overturned decision"

    plan = models.ForeignKey(SamplePlan, models.PROTECT, related_name="decisions")
    sign_off = models.OneToOneField(SignOff, models.PROTECT, related_name="sampled")
    why = models.CharField(max_length=12, choices=Why.choices, blank=True)

    objects = AppendOnlyQuerySet["SampledDecision"].as_manager()

    def __str__(self) -> str:
        return f"{self.sign_off}: {self.get_why_display()}"


class Verification(AppendOnlyModel):
    """A verifier's check of a sign-off; the newest counts, and answers an open action."""

    class Result(models.TextChoices):
        UPHELD = "upheld", "upheld"
        ACTION_NEEDED = "action_needed", "action needed"
        OVERTURNED = "overturned", "overturned"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="verifications")
    verifier = models.ForeignKey(Person, models.PROTECT, related_name="given_verifications")
    result = models.CharField(max_length=13, choices=Result.choices)
    text = models.TextField(max_length=2000, blank=True)
    due_on = models.DateField(null=True, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Verification"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(result="upheld") | ~Q(text=""), name="assessment_verification_says_why"
            ),
            models.CheckConstraint(
                condition=~Q(result="action_needed") | Q(due_on__isnull=False),
                name="assessment_verification_action_due",
            ),
        ]
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.sign_off}: {self.get_result_display()}"


class ActionPlan(models.Model):
    """What the educator agrees with an apprentice after repeated "not yet", with a date."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="action_plans")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="+")
    educator = models.ForeignKey(Person, models.PROTECT, related_name="+")
    text = models.TextField(max_length=2000)
    whole_module = models.BooleanField(default=False)
    due_on = models.DateField()
    made_at = models.DateTimeField(default=timezone.now)
    closed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"plan for {self.apprentice}, {self.module_version}"
