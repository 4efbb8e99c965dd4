"""How entries about assessments and decisions read."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from academy.assessment.models import (
    ActionPlan,
    Appeal,
    AppealAnswer,
    Assessment,
    Booking,
    ReferenceHead,
    Ruling,
    SamplePlan,
    SignOff,
)
from academy.audit import sentences
from academy.web.days import written_moment

if TYPE_CHECKING:
    from django.db import models

_SENTENCES = {
    "assessment.booking.asked": "{actor} asked for {subject}",
    "assessment.booking.booked": (
        "{actor} booked {subject} with {assessor:people.person} for {at:assessment.moment}"
    ),
    "assessment.booking.moved": (
        "{actor} moved {subject} to {at:assessment.moment}, with {assessor:people.person}"
    ),
    "assessment.booking.cancelled": "{actor} cancelled {subject}",
    "assessment.assessment.started": "{actor} began {subject}",
    "assessment.assessment.second_started": "{actor} began a second mark: {subject}",
    "assessment.assessment.discarded": "{actor} discarded the draft of {subject}",
    "assessment.assessment.submitted": (
        "{actor} submitted {subject}; by the marks {by_marks:outcome}"
    ),
    "assessment.assessment.withdrawn": (
        "{actor} withdrew {subject}, submitted by mistake; by the marks it was {by_marks:outcome}"
    ),
    "assessment.assessment.begun_again": "{actor} began {subject} again, with its levels",
    "assessment.assessment.printed": "{actor} printed the result sheet of {subject}",
    "assessment.assessment.acknowledged": "{actor} read the result of {subject}",
    "assessment.feedback.corrected": "{actor} corrected the feedback on {subject}",
    "assessment.feedback.added": "{actor} added feedback to {subject}",
    "assessment.second.asked": "{actor} asked for a second mark on {subject}",
    "assessment.second.not_asked": "{actor} took back the wish for a second mark on {subject}",
    "assessment.second.assigned": (
        "{actor} gave the second mark on {subject} to {assessor:people.person}"
    ),
    "assessment.second.reassigned": (
        "{actor} gave the second mark on {subject} to {assessor:people.person} instead"
    ),
    "assessment.headsample.set": "{actor} set the sample of heads to {percent} %",
    "assessment.ruling.given": "{actor} ruled on {subject}: {decision:assessment.ruled}",
    "assessment.signoff.verifier_named": (
        "{actor} named {verifier:people.person} to verify {subject}"
    ),
    "assessment.signoff.answered": "{actor} answered the action asked for on {subject}",
    "assessment.sample.added": "{actor} added {count} sign-offs to {subject}",
    "assessment.reference.written": "{actor} wrote {subject}",
    "assessment.reference.published": "{actor} published {subject}",
    "assessment.reference.begun": "{actor} began to mark {subject}",
    "assessment.feedback.rated": "{actor} rated a feedback text",
    "assessment.signoff.given": "{actor} gave {subject}, in date until {in_date_until:people.day}",
    "assessment.signoff.upheld": "{actor} upheld {subject}",
    "assessment.signoff.action_needed": (
        "{actor} asked for action on {subject} by {due_on:people.day}"
    ),
    "assessment.signoff.overturned": "{actor} overturned {subject}",
    "assessment.sample.opened": "{actor} drew {drawn} of {count} sign-offs: {subject}",
    "assessment.sample.closed": "{actor} closed {subject}",
    "assessment.actionplan.written": "{actor} wrote {subject}, due {due_on:people.day}",
    "assessment.actionplan.closed": "{actor} closed {subject}",
    "assessment.appeal.made": "{actor} made {subject}, to be answered by {answer_by:people.day}",
    "assessment.appeal.withdrawn": "{actor} took back {subject}",
    "assessment.appeal.answered": "{actor} answered {subject}: {decision:appeal}",
}
_ANSWERS: dict[sentences.Value, str] = dict(AppealAnswer.Decision.choices)
_RULED: dict[sentences.Value, str] = dict(Ruling.Decision.choices)
_OUTCOMES: dict[sentences.Value, str] = {"competent": "competent", "not_yet": "not yet"}


def install() -> None:
    for action, template in _SENTENCES.items():
        sentences.register(action, template)
    sentences.resolve("outcome", lambda _: _OUTCOMES)
    sentences.resolve("assessment.moment", _moments)
    sentences.resolve("assessment.booking", _words_of(Booking, "the assessment"))
    sentences.resolve("assessment.assessment", _words_of(Assessment, "the assessment"))
    sentences.resolve("assessment.signoff", _words_of(SignOff, "the sign-off"))
    sentences.resolve("assessment.actionplan", _words_of(ActionPlan, "the action plan"))
    sentences.resolve("assessment.sampleplan", _samples)
    sentences.resolve("assessment.appeal", _appeals)
    sentences.resolve("appeal", lambda _: _ANSWERS)
    sentences.resolve("assessment.referencehead", _references)
    sentences.resolve("assessment.ruled", lambda _: _RULED)


def _references(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = ReferenceHead.objects.filter(pk__in=ids)
    return {row.pk: f"the reference head “{row.name}”" for row in rows}


def _appeals(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = Appeal.objects.filter(pk__in=ids).select_related(
        "apprentice", "assessment__module_version"
    )
    return {
        row.pk: f"the appeal of {row.apprentice} in {row.assessment.module_version.title}"
        for row in rows
    }


def _samples(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = SamplePlan.objects.filter(pk__in=ids)
    return {row.pk: f"the sample “{row.name}”" for row in rows}


def _moments(values: set[sentences.Value]) -> dict[sentences.Value, str]:
    return {value: written_moment(datetime.fromisoformat(str(value))) for value in values}


def _words_of(model: type[models.Model], what: str) -> sentences.Resolver:
    def words(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
        rows: Any = model._default_manager.filter(pk__in=ids).select_related(
            "module_version", "apprentice"
        )
        return {row.pk: f"{what} of {row.apprentice} in {row.module_version.title}" for row in rows}

    return words
