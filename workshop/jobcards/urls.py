"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from workshop.jobcards.views import release

app_name = "jobcards"
urlpatterns = [
    path("<int:pk>/release/", release.page, name="release"),
    path("<int:pk>/release/news/", release.news, name="release_news"),
    path("<int:pk>/release/let-go/", release.let_go, name="let_go"),
    path("<int:pk>/release/<int:item_id>/sign/", release.sign_item, name="sign"),
    path("<int:pk>/release/<int:item_id>/unsign/", release.unsign_item, name="unsign"),
]
