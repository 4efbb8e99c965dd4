"""Forms of bookings, assessments and decisions."""

from __future__ import annotations

from academy.assessment.forms.chair import (
    FaultBackForm as FaultBackForm,
    FaultForm as FaultForm,
    NotesForm as NotesForm,
    StopForm as StopForm,
    TapForm as TapForm,
)
from academy.assessment.forms.deciding import (
    BookForm as BookForm,
    MistakeForm as MistakeForm,
    ReasonForm as ReasonForm,
    SignForm as SignForm,
    StartForm as StartForm,
    VerifyForm as VerifyForm,
    people_in as people_in,
)
from academy.assessment.forms.feedback import (
    AcknowledgeForm as AcknowledgeForm,
    initial_points as initial_points,
)
from academy.assessment.forms.points import (
    CorrectionForms as CorrectionForms,
    PointForms as PointForms,
)
