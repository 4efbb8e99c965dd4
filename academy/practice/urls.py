from __future__ import annotations

from django.urls import path

from academy.practice.views import answering, logging, reading, tasks

app_name = "practice"
urlpatterns = [
    path("", reading.session_list, name="session-list"),
    path("new/", logging.session_new, name="session-new"),
    path("export.csv", reading.session_export, name="session-export"),
    path("confirm/", answering.sessions_confirm, name="sessions-confirm"),
    path("tasks/", tasks.task_list, name="task-list"),
    path("tasks/new/", tasks.task_new, name="task-new"),
    path("tasks/<token:token>/", tasks.task_detail, name="task-detail"),
    path("tasks/<token:token>/withdraw/", tasks.task_withdraw, name="task-withdraw"),
    path("<token:token>/", reading.session_detail, name="session-detail"),
    path("<token:token>/confirm/", answering.session_confirm, name="session-confirm"),
    path("<token:token>/take-back/", answering.session_take_back, name="session-take-back"),
]
