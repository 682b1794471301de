"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from inventory.suppliers import views

app_name = "suppliers"
urlpatterns = [
    path("", views.supplier_list, name="list"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/history/", views.history, name="history"),
    path("<int:pk>/articles/", views.articles, name="articles"),
    path("articles/<int:pk>/", views.article, name="article"),
    path("articles/<int:pk>/match/", views.match_part, name="match"),
]
