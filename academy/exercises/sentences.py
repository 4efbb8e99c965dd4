"""How entries about papers and answer sheets read."""

from __future__ import annotations

from academy.audit import sentences
from academy.exercises.models import AnswerSheet, Paper


def install() -> None:
    sentences.register("exercises.paper.set", "{actor} set {subject}")
    sentences.register("exercises.paper.changed", "{actor} changed {subject}, edition {edition}")
    sentences.register("exercises.paper.closed", "{actor} closed {subject}")
    sentences.register(
        "exercises.paper.follow_up_set", "{actor} set each apprentice their own slips in {subject}"
    )
    sentences.register("exercises.paper.withdrawn", "{actor} withdrew {subject}")
    sentences.register("exercises.paper.papers_printed", "{actor} had {subject} printed")
    sentences.register("exercises.paper.key_printed", "{actor} had the key of {subject} printed")
    sentences.register(
        "exercises.paper.guide_printed", "{actor} had the marking guide of {subject} printed"
    )
    sentences.register("exercises.paper.marked_again", "{actor} had {subject} marked again")
    sentences.register("exercises.answersheet.started", "{actor} began {subject}")
    sentences.register(
        "exercises.answersheet.handed_in",
        "{actor} handed in {subject}: {marks} of {possible} marks",
    )
    sentences.register(
        "exercises.answersheet.entered",
        "{actor} entered {subject} from the paper of {apprentice:people.person}: "
        "{marks} of {possible} marks",
    )
    sentences.register(
        "exercises.answersheet.time_up",
        "The time of {apprentice:people.person} for {subject} was up: {marks} of {possible} marks",
    )
    sentences.resolve("exercises.paper", _papers)
    sentences.resolve("exercises.answersheet", _sheets)


def _papers(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = Paper.objects.filter(pk__in=ids).select_related("cohort")
    return {row.pk: f"the paper \u201c{row.title}\u201d for {row.cohort}" for row in rows}


def _sheets(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = AnswerSheet.objects.filter(pk__in=ids).select_related("paper")
    return {row.pk: f"\u201c{row.paper.title}\u201d, attempt {row.attempt}" for row in rows}
