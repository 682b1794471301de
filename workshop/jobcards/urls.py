"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.jobcards.views import cards, check, extra, papers, parts, pen, release, task, ticking

app_name = "jobcards"
urlpatterns = [
    path("", cards.card_list, name="list"),
    path("check/<int:bike_id>/", check.open_check, name="open_check"),
    path("<int:pk>/", cards.card, name="card"),
    path("<int:pk>/live/", cards.live, name="live"),
    path("<int:pk>/tasks/<int:task_id>/tick/", ticking.tick_task, name="tick"),
    path("<int:pk>/tasks/<int:task_id>/untick/", ticking.untick_task, name="untick"),
    path("<int:pk>/tasks/<int:task_id>/start/", ticking.start, name="start"),
    path("<int:pk>/tasks/<int:task_id>/stop/", ticking.stop, name="stop"),
    path("<int:pk>/tasks/<int:task_id>/", task.task, name="task"),
    path("<int:pk>/tasks/<int:task_id>/judge/", task.judge, name="judge"),
    path("<int:pk>/parts/", parts.parts, name="parts"),
    path("<int:pk>/parts/scan/", parts.scan, name="scan"),
    path("<int:pk>/parts/reserve/", parts.reserve, name="reserve"),
    path("<int:pk>/parts/<int:row_id>/draw/", parts.draw, name="draw"),
    path("<int:pk>/parts/<int:row_id>/give-back/", parts.give_back, name="give_back"),
    path("<int:pk>/extra/", extra.places, name="extra"),
    path("<int:pk>/extra/<slug:code>/", extra.at_place, name="extra_at"),
    path("<int:pk>/release/", release.page, name="release"),
    path("<int:pk>/release/news/", release.news, name="release_news"),
    path("<int:pk>/release/let-go/", release.let_go, name="let_go"),
    path("<int:pk>/release/<int:item_id>/sign/", release.sign_item, name="sign"),
    path("<int:pk>/release/<int:item_id>/unsign/", release.unsign_item, name="unsign"),
    path("<int:pk>/release-sheet.pdf", papers.sheet, name="sheet"),
    path("<int:pk>/print/", papers.card, name="print"),
    path("<int:pk>/pen/", pen.pen, name="pen"),
]
