"""Addresses of this room."""

from __future__ import annotations

from django.urls import include, path

from quotes.quoting.views import findings, issue, lines, look

app_name = "quoting"

of_revision = [
    path("", look.revision, name="revision"),
    path("compare/", look.compare, name="compare"),
    path("history/", look.history, name="history"),
    path("findings/<int:pk>/", findings.choose, name="choose"),
    path("lines/add/", lines.add, name="line_add"),
    path("lines/<int:pk>/", lines.change, name="line_change"),
    path("lines/<int:pk>/restore/", lines.restore, name="line_restore"),
    path("lines/<int:pk>/remove/", lines.remove, name="line_remove"),
    path("details/", issue.details, name="details"),
    path("reprice/", issue.reprice, name="reprice"),
    path("send/", issue.send, name="send"),
    path("revise/", issue.revise, name="revise"),
]
urlpatterns = [
    path("", look.quotes, name="list"),
    path("inspections/<int:inspection_id>/start/", issue.start, name="start"),
    path("<str:number>/<int:revision>/", include(of_revision)),
]
