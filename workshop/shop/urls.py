"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.shop import views

app_name = "shop"
urlpatterns = [path("", views.edit, name="edit")]
