"""Addresses of this room."""

from __future__ import annotations

from django.urls import path, register_converter
from django.urls.converters import get_converters

from quotes.pool import views
from quotes.pool.days import DayConverter

if "day" not in get_converters():
    register_converter(DayConverter, "day")

app_name = "pool"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("set-up/", views.set_up, name="set_up"),
    path("entries/new/", views.enter_page, name="enter"),
    path("entries/<int:pk>/take-back/", views.reverse_page, name="reverse"),
    path("<day:starts_on>/", views.period, name="period"),
    path("<day:starts_on>/declare/", views.declare_period, name="declare"),
]
