"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.labels import views

app_name = "labels"
urlpatterns = [
    path("bikes/", views.bikes, name="bikes"),
    path("parts/", views.parts, name="parts"),
]
