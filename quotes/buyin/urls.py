"""Addresses of this room."""

from __future__ import annotations

from django.urls import include, path

from quotes.buyin import views

app_name = "buyin"
urlpatterns = [
    path("", views.check_list, name="list"),
    path("bikes/<int:bike_id>/", views.check, name="check"),
    path("", include("quotes.deciding.urls")),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/decide/", views.decide_on, name="decide"),
]
