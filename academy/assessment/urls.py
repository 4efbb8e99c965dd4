"""Bookings, marking at the chair, results, sign-offs and verifications."""

from __future__ import annotations

from django.urls import path

from academy.assessment.views import (
    booking,
    faults,
    feedback,
    listing,
    paper,
    photos,
    results,
    scoring,
    signing,
    verifying,
    withdrawing,
)

app_name = "assessment"
urlpatterns = [
    path("", listing.assessment_list, name="assessment-list"),
    path("new/", listing.assessment_new, name="assessment-new"),
    path("sheet/<token:token>/", paper.paper_sheet, name="paper-sheet"),
    path("head/<token:token>/", scoring.score, name="assessment-score"),
    path("head/<token:token>/level/", scoring.level, name="assessment-level"),
    path("head/<token:token>/overall/", scoring.overall, name="assessment-overall"),
    path("head/<token:token>/notes/", scoring.notes, name="assessment-notes"),
    path("head/<token:token>/zone/", scoring.zone_out, name="zone-out"),
    path("head/<token:token>/fault/", faults.fault_new, name="fault-new"),
    path("head/<token:token>/fault/<token:fault>/", faults.fault_change, name="fault-change"),
    path("head/<token:token>/photo/", photos.photo_new, name="photo-new"),
    path("head/<token:token>/photo/<token:photo>/off/", photos.photo_remove, name="photo-remove"),
    path("head/<token:token>/photo/<token:photo>/", photos.photo_file, name="photo-file"),
    path("head/<token:token>/stop/", scoring.stop, name="assessment-stop"),
    path("head/<token:token>/discard/", scoring.discard, name="assessment-discard"),
    path("head/<token:token>/feedback/", feedback.feedback_write, name="assessment-feedback"),
    path("bookings/", booking.booking_list, name="booking-list"),
    path("bookings/ask/<token:token>/", booking.booking_ask, name="booking-ask"),
    path("bookings/<token:token>/", booking.booking_detail, name="booking-detail"),
    path("bookings/<token:token>/cancel/", booking.booking_cancel, name="booking-cancel"),
    path("results/", results.result_list, name="result-list"),
    path("results/<token:token>/", results.result_detail, name="result-detail"),
    path("results/<token:token>/correct/", feedback.feedback_correct, name="feedback-correct"),
    path("results/<token:token>/withdraw/", withdrawing.result_withdraw, name="result-withdraw"),
    path("results/<token:token>/again/", withdrawing.result_again, name="result-again"),
    path("signed/", signing.signoff_list, name="signoff-list"),
    path("sign/<token:person>/<token:module>/", signing.signoff_new, name="signoff-new"),
    path("signed/<token:token>/", signing.signoff_detail, name="signoff-detail"),
    path("decisions/", verifying.verification_list, name="verification-list"),
    path("decisions/<token:token>/", verifying.verification_new, name="verification-new"),
]
