"""What the database itself refuses to change: drawn questions and sheets that were handed in."""

from __future__ import annotations

from academy.audit import triggers


def install() -> None:
    triggers.protect("exercises_question", label="a drawn question")
    triggers.protect("exercises_remarking", label="a remarking")
    triggers.protect("exercises_correctedquestion", label="a corrected question")
    triggers.protect("exercises_sheetremark", label="a mark given again")
    triggers.protect("exercises_answerremark", label="a mark given again")
    # Nobody enters their own paper.
    triggers.protect(
        "exercises_answersheet",
        label="a handed-in sheet",
        when="OLD.submitted_at IS NOT NULL",
        insert_when="NEW.entered_by_id = NEW.apprentice_id",
    )
    handed_in = (
        "EXISTS (SELECT 1 FROM exercises_answersheet s "
        "WHERE s.id = {row}.sheet_id AND s.submitted_at IS NOT NULL)"
    )
    triggers.protect(
        "exercises_answer",
        label="an answer of a handed-in sheet",
        when=handed_in.format(row="OLD"),
        insert_when=handed_in.format(row="NEW"),
    )
