"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.catalogue import views

app_name = "catalogue"
urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:kind>/", views.record_list, name="list"),
    path("<slug:kind>/new/", views.new, name="new"),
    path("<slug:kind>/<int:pk>/", views.edit, name="edit"),
    path("<slug:kind>/<int:pk>/history/", views.history, name="history"),
]
