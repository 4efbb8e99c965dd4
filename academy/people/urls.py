"""Addresses of people: four outside an academy, the rest under `/<academy>/people/`."""

from __future__ import annotations

from django.urls import include, path

from academy.people.views import (
    accepting,
    closed_days,
    cohorts,
    door,
    invitations,
    me,
    members,
    places,
)

app_name = "people"

inside = [
    path("", members.member_list, name="member-list"),
    path("me/", me.me, name="me"),
    path("me/consent/", me.consent_decide, name="consent-decide"),
    path("as/", door.role_choose, name="role-choose"),
    path("invitations/", invitations.invitation_list, name="invitation-list"),
    path("invitations/new/", invitations.invitation_new, name="invitation-new"),
    path("invitations/from-a-list/", invitations.invitation_upload, name="invitation-upload"),
    path(
        "invitations/<token:token>/resend/",
        invitations.invitation_resend,
        name="invitation-resend",
    ),
    path(
        "invitations/<token:token>/revoke/",
        invitations.invitation_revoke,
        name="invitation-revoke",
    ),
    path("cohorts/", cohorts.cohort_list, name="cohort-list"),
    path("cohorts/new/", cohorts.cohort_new, name="cohort-new"),
    path("cohorts/<token:token>/", cohorts.cohort_detail, name="cohort-detail"),
    path("cohorts/<token:token>/change/", cohorts.cohort_change, name="cohort-change"),
    path("cohorts/<token:token>/end/", cohorts.cohort_end, name="cohort-end"),
    path("cohorts/<token:token>/place/", places.place_new, name="place-new"),
    path("closed-days/", closed_days.closed_days, name="closed-days"),
    path(
        "closed-days/<token:token>/open/",
        closed_days.closed_day_remove,
        name="closed-day-remove",
    ),
    path("roles/<token:token>/end/", members.membership_end, name="membership-end"),
    path("<token:token>/", members.member_detail, name="member-detail"),
    path("<token:token>/role/", members.role_give, name="role-give"),
    path("<token:token>/cohort/", places.place_change, name="place-change"),
    path("<token:token>/guardian/", members.guardian_edit, name="guardian-edit"),
    path("<token:token>/guardian/remove/", members.guardian_remove, name="guardian-remove"),
]

urlpatterns = [
    path("", door.academies, name="academies"),
    path("demo/", door.demo, name="demo"),
    path("invitation/<str:secret>/", accepting.invitation_accept, name="invitation-accept"),
    path("<slug:academy>/people/", include(inside)),
]
