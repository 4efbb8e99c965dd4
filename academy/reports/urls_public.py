"""The record from outside, for anyone."""

from __future__ import annotations

from django.urls import path

from academy.reports import public_record

app_name = "record_public"
urlpatterns = [
    path("key-<slug:key>.pem", public_record.public_key, name="key"),
    path("<slug:slug>/", public_record.record, name="record"),
    path("<slug:slug>/checkpoints.json", public_record.checkpoints, name="checkpoints"),
    path("<slug:slug>/checkpoint-<int:size>.json", public_record.statement, name="statement"),
    path("<slug:slug>/checkpoint-<int:size>.sig", public_record.signature, name="signature"),
    path(
        "<slug:slug>/consistency-<int:old>-<int:new>.json",
        public_record.consistency,
        name="consistency",
    ),
]
