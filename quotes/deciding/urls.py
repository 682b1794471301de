"""Addresses of this room; they stand within those of the buy-in."""

from __future__ import annotations

from django.urls import path

from quotes.deciding import views

urlpatterns = [
    path("bikes/<int:bike_id>/decision/", views.decision, name="decision"),
    path("<int:pk>/decision/", views.kept, name="kept"),
    path("<int:pk>/decision.pdf", views.sheet, name="sheet"),
]
