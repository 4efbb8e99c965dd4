"""First pages, cohorts and what stands behind a cell of the matrix."""

from __future__ import annotations

from django.urls import path

from academy.reports import evidence, record, views

app_name = "reports"
urlpatterns = [
    path("", views.today, name="today"),
    path("matrix.csv", views.matrix_export, name="matrix-export"),
    path("record/", record.record, name="record"),
    path("record/verify/", record.verify_record, name="record-verify"),
    path("record/sign/", record.sign_record, name="record-sign"),
    path("evidence/<slug:about>/<token:token>/", evidence.evidence, name="evidence"),
    path(
        "evidence/<slug:about>/<token:token>/pack.zip",
        evidence.evidence_download,
        name="evidence-download",
    ),
    path("progress/<token:token>/", views.progress, name="progress"),
    path("progress/<token:person>/<token:module>/", views.standing, name="standing"),
]
