"""Papers, the questions drawn for them, and what apprentices answered."""

from __future__ import annotations

from academy.exercises.models.papers import (
    Paper as Paper,
    PaperPart as PaperPart,
    Question as Question,
)
from academy.exercises.models.prints import PaperPrint as PaperPrint
from academy.exercises.models.remarks import (
    AnswerRemark as AnswerRemark,
    CorrectedQuestion as CorrectedQuestion,
    Remarking as Remarking,
    SheetRemark as SheetRemark,
)
from academy.exercises.models.sheets import Answer as Answer, AnswerSheet as AnswerSheet
