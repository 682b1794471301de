"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from quotes.resale.views import entering, foretelling, importing

app_name = "resale"
urlpatterns = [
    path("", entering.comparable_list, name="list"),
    path("new/", entering.new, name="new"),
    path("<int:pk>/", entering.edit, name="edit"),
    path("<int:pk>/remove/", entering.remove, name="remove"),
    path("import/", importing.look, name="import"),
    path("import/add/", importing.add, name="import_add"),
    path("import/template.csv", importing.template_file, name="template"),
    path("for/<int:bike_id>/", foretelling.bike_page, name="bike"),
    path("for/<int:bike_id>/drop/<int:pk>/", foretelling.drop, name="drop"),
    path("for/<int:bike_id>/take-back/<int:pk>/", foretelling.back, name="take_back"),
]
