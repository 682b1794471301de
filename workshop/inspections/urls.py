"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.inspections import views

app_name = "inspections"
urlpatterns = [
    path("bikes/<int:bike_id>/start/", views.start, name="start"),
    path("photos/<int:pk>/", views.photo, name="photo"),
    path("photos/<int:pk>/remove/", views.photo_remove, name="photo_remove"),
    path("<int:pk>/", views.overview, name="overview"),
    path("<int:pk>/walk/", views.walk, name="walk"),
    path("<int:pk>/finish/", views.finish, name="finish"),
    path("<int:pk>/reopen/", views.reopen, name="reopen"),
    path("<int:pk>/<slug:code>/", views.checkpoint, name="checkpoint"),
    path("<int:pk>/<slug:code>/judge/", views.judge, name="judge"),
    path("<int:pk>/<slug:code>/sound/", views.sound, name="sound"),
    path("<int:pk>/<slug:code>/take-back/", views.take_back_check, name="take_back"),
    path("<int:pk>/<slug:code>/photos/", views.photo_add, name="photo_add"),
]
