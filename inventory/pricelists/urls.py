"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from inventory.pricelists.views import finishing, reading, sending

app_name = "pricelists"
urlpatterns = [
    path("", sending.incoming_list, name="list"),
    path("from/<int:supplier_id>/", sending.send, name="send"),
    path("<int:pk>/columns/", sending.columns, name="columns"),
    path("<int:pk>/", reading.page, name="page"),
    path("<int:pk>/read-on/", reading.step, name="step"),
    path("<int:pk>/read-anew/", reading.anew, name="anew"),
    path("<int:pk>/problems.csv", finishing.problems_file, name="problems"),
    path("<int:pk>/apply/", finishing.apply_list, name="apply"),
    path("<int:pk>/discard/", finishing.discard_list, name="discard"),
]
