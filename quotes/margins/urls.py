"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from quotes.margins import views

app_name = "margins"
urlpatterns = [path("parts/", views.parts, name="parts")]
