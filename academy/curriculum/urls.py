from __future__ import annotations

from django.urls import path

from academy.curriculum.views import (
    drafts,
    house,
    labels,
    mixing,
    modules,
    planner,
    publishing,
    versions,
)

app_name = "curriculum"
urlpatterns = [
    path("", modules.module_list, name="module-list"),
    path("new/", drafts.module_start, name="module-start"),
    path("awards/", modules.award_list, name="award-list"),
    path("house-rules/", house.rule_list, name="rule-list"),
    path("house-rules/<str:group>/", house.rule_change, name="rule-change"),
    path("mixture/", mixing.mixture, name="mixture"),
    path("planner/", planner.planner, name="planner"),
    path("planner/print/", planner.planner_print, name="planner-print"),
    path("planner/save/", planner.planner_save, name="planner-save"),
    path("labels/", labels.label_list, name="label-list"),
    path("labels/new/", labels.label_new, name="label-new"),
    path("labels/<token:token>/", labels.label_edit, name="label-edit"),
    path("version/<token:token>/", versions.version_detail, name="version-detail"),
    path("version/<token:token>/retire/", publishing.version_retire, name="version-retire"),
    path("draft/<token:token>/preview/", drafts.draft_preview, name="draft-preview"),
    path("draft/<token:token>/publish/", publishing.draft_publish, name="draft-publish"),
    path("draft/<token:token>/discard/", publishing.draft_discard, name="draft-discard"),
    path("draft/<token:token>/<slug:part>/", drafts.draft_edit, name="draft-edit"),
    path("<token:token>/", modules.module_detail, name="module-detail"),
    path("<token:token>/draft/", drafts.draft_start, name="draft-start"),
    path("<token:token>/difference/", versions.version_difference, name="version-difference"),
]
