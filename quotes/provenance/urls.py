"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from quotes.provenance import views

app_name = "provenance"
urlpatterns = [
    path("settings/", views.settings, name="settings"),
    path("bikes/<int:bike_id>/start/", views.start, name="start"),
    path("<int:pk>/", views.overview, name="check"),
    path("<int:pk>/conclude/", views.conclude, name="conclude"),
    path("<int:pk>/frame/", views.frame, name="frame"),
    path("<int:pk>/declaration.pdf", views.declaration, name="declaration"),
    path("<int:pk>/<slug:slug>/", views.step, name="step"),
]
