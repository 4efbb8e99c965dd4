"""Certificates inside an academy."""

from __future__ import annotations

from django.urls import path

from academy.awards import views

app_name = "awards"
urlpatterns = [
    path("", views.certificate_list, name="certificate-list"),
    path("issue/<token:award>/<token:person>/", views.certificate_issue, name="certificate-issue"),
    path("<token:token>/", views.certificate_detail, name="certificate-detail"),
    path("<token:token>/withdraw/", views.certificate_withdraw, name="certificate-withdraw"),
    path("<token:token>/certificate.pdf", views.certificate_pdf, name="certificate-pdf"),
]
