"""Bookings, assessments with their marks and outcomes, sign-offs and verifications."""

from __future__ import annotations

from academy.assessment.models.assessments import (
    Assessment as Assessment,
    AssessmentQuerySet as AssessmentQuerySet,
)
from academy.assessment.models.bookings import (
    Booking as Booking,
    BookingQuerySet as BookingQuerySet,
)
from academy.assessment.models.feedback import (
    Feedback as Feedback,
    FeedbackDraft as FeedbackDraft,
)
from academy.assessment.models.marks import (
    FaultMark as FaultMark,
    Mark as Mark,
    PlacedFault as PlacedFault,
    StopEvent as StopEvent,
    ZoneLeftOut as ZoneLeftOut,
)
from academy.assessment.models.outcomes import (
    Acknowledgement as Acknowledgement,
    Outcome as Outcome,
    Ruling as Ruling,
    Withdrawal as Withdrawal,
)
from academy.assessment.models.photos import (
    Photo as Photo,
    ReferencePhoto as ReferencePhoto,
)
from academy.assessment.models.prints import ResultPrint as ResultPrint
from academy.assessment.models.reassessments import (
    Appeal as Appeal,
    AppealAnswer as AppealAnswer,
    AppealQuerySet as AppealQuerySet,
    AppealWithdrawal as AppealWithdrawal,
    PlanClosing as PlanClosing,
    Reassessment as Reassessment,
)
from academy.assessment.models.samples import (
    ActionPlan as ActionPlan,
    SampledDecision as SampledDecision,
    SamplePlan as SamplePlan,
)
from academy.assessment.models.seconds import (
    HeadDraw as HeadDraw,
    HeadSamplePlan as HeadSamplePlan,
    SecondAsked as SecondAsked,
    SecondAssignment as SecondAssignment,
)
from academy.assessment.models.signoffs import (
    SignOff as SignOff,
    SignOffAssessment as SignOffAssessment,
    SignOffQuerySet as SignOffQuerySet,
    Verification as Verification,
)
from academy.assessment.models.standardisation import (
    FeedbackRating as FeedbackRating,
    ReferenceFault as ReferenceFault,
    ReferenceHead as ReferenceHead,
    ReferenceLevel as ReferenceLevel,
    ReferenceMarking as ReferenceMarking,
)
from academy.assessment.models.verifying import (
    ActionAnswer as ActionAnswer,
    AddedDecision as AddedDecision,
    VerifierNamed as VerifierNamed,
)
