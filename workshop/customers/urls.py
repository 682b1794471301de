"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.customers import views

app_name = "customers"
urlpatterns = [
    path("", views.customer_list, name="list"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
]
