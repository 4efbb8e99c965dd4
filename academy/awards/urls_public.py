"""The page anyone with a certificate in hand opens."""

from __future__ import annotations

from django.urls import path

from academy.awards import public

app_name = "awards_public"
urlpatterns = [
    path("", public.ask, name="ask"),
    path("<str:token>/", public.check, name="check"),
]
