"""Addresses of the site; every name stands in ``workshop.people.policy``."""

from __future__ import annotations

from django.contrib.auth import views as auth
from django.urls import include, path

from workshop.people.views import ChangePassword, SignIn, home

urlpatterns = [
    path("", home, name="home"),
    path("sign-in/", SignIn.as_view(), name="login"),
    path("sign-out/", auth.LogoutView.as_view(), name="logout"),
    path("password/", ChangePassword.as_view(), name="password_change"),
    path("", include("workshop.offline.urls")),
    path("people/", include("workshop.people.urls")),
    path("shop/", include("workshop.shop.urls")),
    path("customers/", include("workshop.customers.urls")),
    path("bikes/", include("workshop.bikes.urls")),
    path("inspections/", include("workshop.inspections.urls")),
    path("suppliers/", include("inventory.suppliers.urls")),
    path("price-lists/", include("inventory.pricelists.urls")),
    path("catalogue/", include("workshop.catalogue.urls")),
    path("stock/", include("inventory.stock.urls")),
    path("orders/", include("inventory.purchasing.urls")),
    path("cards/", include("workshop.jobcards.urls")),
    path("labels/", include("workshop.labels.urls")),
    path("bench/", include("workshop.bench.urls")),
    path("quotes/", include("quotes.quoting.urls")),
    path("quotes/", include("quotes.print.urls")),
    path("quotes/", include("quotes.planning.urls")),
    path("answers/", include("quotes.acceptance.urls")),
    path("comparables/", include("quotes.resale.urls")),
    path("buy-in/", include("quotes.buyin.urls")),
    path("provenance/", include("quotes.provenance.urls")),
    path("margins/", include("quotes.margins.urls")),
    path("global-accounting/", include("quotes.pool.urls")),
    path("sales/", include("quotes.sales.urls")),
]
