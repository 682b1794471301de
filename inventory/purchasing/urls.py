"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from inventory.purchasing.views import drafting, goods, orders, points

app_name = "purchasing"
urlpatterns = [
    path("", orders.order_list, name="list"),
    path("short/", drafting.short_list, name="short"),
    path("reorder-points/", points.overview, name="points"),
    path("settings/", points.settings, name="settings"),
    path("<int:pk>/", orders.order, name="order"),
    path("<int:pk>/change/", drafting.change, name="change"),
    path("<int:pk>/add/", drafting.add, name="add"),
    path("<int:pk>/discard/", drafting.throw_away, name="discard"),
    path("<int:pk>/place/", orders.place_order, name="place"),
    path("<int:pk>/order.pdf", orders.pdf, name="pdf"),
    path("<int:pk>/order.csv", orders.as_csv, name="csv"),
    path("<int:pk>/goods-in/", goods.goods_in, name="goods_in"),
    path("<int:pk>/end/", goods.end, name="end"),
    path("<int:pk>/open-again/", goods.open_again, name="reopen"),
]
