"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from inventory.stock import views
from inventory.stock.views import counting, many, reports

app_name = "stock"
urlpatterns = [
    path("", views.part_list, name="list"),
    path("report/", reports.report, name="report"),
    path("method/", reports.method, name="method"),
    path("stocktakes/", counting.overview, name="stocktakes"),
    path("stocktakes/start/", counting.start, name="stocktake_start"),
    path("stocktakes/<int:pk>/", counting.stocktake, name="stocktake"),
    path("stocktakes/<int:pk>/differences/", counting.approve, name="differences"),
    path("movements/<int:pk>/take-back/", views.take_back, name="take_back"),
    path("reservations/<int:pk>/release/", views.free, name="release"),
    path("parts/change/", many.many, name="many"),
    path("parts/offers/", views.offers, name="offers"),
    path("parts/<int:pk>/", views.part, name="part"),
    path("parts/<int:pk>/facts/", views.facts, name="facts"),
    path("parts/<int:pk>/fit/", views.fit, name="fit"),
    path("parts/<int:pk>/<slug:kind>/", views.move, name="move"),
]
