"""First pages, cohorts and what stands behind a cell of the matrix."""

from __future__ import annotations

from django.urls import path

from academy.reports import views

app_name = "reports"
urlpatterns = [
    path("", views.today, name="today"),
    path("matrix.csv", views.matrix_export, name="matrix-export"),
    path("progress/<token:token>/", views.progress, name="progress"),
    path("progress/<token:person>/<token:module>/", views.standing, name="standing"),
]
