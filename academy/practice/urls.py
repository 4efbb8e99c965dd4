from __future__ import annotations

from django.urls import path

from academy.practice.views import answering, logging, reading

app_name = "practice"
urlpatterns = [
    path("", reading.session_list, name="session-list"),
    path("new/", logging.session_new, name="session-new"),
    path("export.csv", reading.session_export, name="session-export"),
    path("confirm/", answering.sessions_confirm, name="sessions-confirm"),
    path("<token:token>/", reading.session_detail, name="session-detail"),
    path("<token:token>/confirm/", answering.session_confirm, name="session-confirm"),
    path("<token:token>/take-back/", answering.session_take_back, name="session-take-back"),
]
