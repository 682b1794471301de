"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.bikes import views

app_name = "bikes"
urlpatterns = [
    path("", views.bike_list, name="list"),
    path("book-in/", views.new, name="book_in"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/sizes/", views.sizes, name="sizes"),
    path("<int:pk>/sizes/take-over/<int:other>/", views.sizes_taken, name="sizes_taken"),
    path("<int:pk>/photo/", views.photo, name="photo"),
]
