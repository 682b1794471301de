"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.bench.views import board, hours

app_name = "bench"
urlpatterns = [
    path("", board.board, name="board"),
    path("cards/<int:pk>/", board.promise, name="promise"),
    path("times/", board.times, name="times"),
    path("hours/", hours.hours, name="hours"),
    path("hours/<int:user_id>/", hours.person, name="person"),
    path("hours/<int:user_id>/away/", hours.away, name="away"),
    path("hours/away/<int:pk>/remove/", hours.away_remove, name="away_remove"),
    path("days/new/", hours.day, name="day"),
    path("days/<int:pk>/remove/", hours.day_remove, name="day_remove"),
    path("settings/", hours.settings, name="settings"),
]
