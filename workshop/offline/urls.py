"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.offline import views

app_name = "offline"
urlpatterns = [
    path("worker.js", views.worker, name="worker"),
    path("offline/who/", views.who, name="who"),
]
