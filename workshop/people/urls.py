"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.people import views

app_name = "people"
urlpatterns = [
    path("", views.person_list, name="list"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.edit, name="edit"),
]
