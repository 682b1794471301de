"""Addresses of this room; they stand within those of a quote."""

from __future__ import annotations

from django.urls import path

from quotes.planning import views

app_name = "planning"
urlpatterns = [
    path("<str:number>/<int:revision>/plan/", views.plan, name="plan"),
    path("<str:number>/<int:revision>/plan/take/", views.take, name="take"),
    path("<str:number>/<int:revision>/plan/findings/<int:pk>/", views.lock, name="lock"),
    path("<str:number>/<int:revision>/plan/locks/<int:pk>/remove/", views.unlocked, name="unlock"),
]
