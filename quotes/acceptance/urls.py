"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from quotes.acceptance import bench, views

app_name = "acceptance"
urlpatterns = [
    path("<str:number>/<int:revision>/", views.record, name="record"),
    path("<str:number>/<int:revision>/answer/", views.detail, name="detail"),
    path("<str:number>/<int:revision>/card/", bench.open_card, name="open_card"),
]
