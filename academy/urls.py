"""Every address of the site."""

from __future__ import annotations

from django.urls import include, path

from academy.web import appearance, converters, parts

converters.register()

urlpatterns = [
    path("account/", include("allauth.urls")),
    path("appearance/", appearance.choose, name="appearance"),
    path("parts/", parts.show, name="parts"),
    path("", include("academy.people.urls")),
    path("c/", include("academy.awards.urls_public")),
    path("r/", include("academy.reports.urls_public")),
    path(
        "<slug:academy>/",
        include(
            [
                path("", include("academy.reports.urls")),
                path("modules/", include("academy.curriculum.urls")),
                path("exercises/", include("academy.exercises.urls")),
                path("practice/", include("academy.practice.urls")),
                path("assessment/", include("academy.assessment.urls")),
                path("awards/", include("academy.awards.urls")),
            ]
        ),
    ),
]
