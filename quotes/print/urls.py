"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from quotes.print import views

app_name = "printing"
urlpatterns = [
    path("<str:number>/<int:revision>/quote.pdf", views.pdf, name="pdf"),
    path("<str:number>/<int:revision>/preview.pdf", views.preview, name="preview"),
]
