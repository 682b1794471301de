"""A shop, a bike offered to it with work quoted, and somebody signed in."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from tests.factories import quotes as made
from tests.factories.people import sign_in
from workshop.bikes.models import Bike
from workshop.shop.selectors import current_shop

FIGURES = {
    "purchase_price": "90",
    "resale_price": "320",
    "resale_low": "280",
    "resale_high": "370",
    "target_profit": "80",
    "confidence": "80",
    "scheme": "margin",
    "vat_rate": "20",
    "selling_fee_share": "2",
    "selling_fee_net": "4",
    "warranty_share": "3",
    "parts_value": "",
}


@pytest.fixture
def figures():
    """A form as it is filled in."""
    return dict(FIGURES)


@pytest.fixture
def shop(db):
    """A shop with rates, registered for VAT."""
    made.priced_shop(target_margin_net=Decimal(80))
    return current_shop()


@pytest.fixture
def draft(shop):
    """A draft with a remedy that has low and high, and one that is certain."""
    hub = made.remedy(
        "hub-adjust",
        minutes="20.0",
        part="cones",
        access="wheel-out",
        cost_low_net=Decimal(3),
        cost_net=Decimal(4),
        cost_high_net=Decimal(9),
    )
    operation = hub.steps.get().operation
    operation.minutes_low, operation.minutes_high = Decimal(15), Decimal(40)
    operation.save()
    bell = made.remedy("bell-fit", minutes="6.0")
    return made.draft(
        made.fault("hub-play", hub), made.fault("bell-missing", bell), asking_price=Decimal(90)
    )


@pytest.fixture
def bike(draft):
    """The bike of the draft."""
    return Bike.objects.get(pk=draft.quote.bike_id)


@pytest.fixture
def boss(client, shop):
    """A browser in which the manager is signed in."""
    sign_in(client, manager=True)
    return client


@pytest.fixture
def url(bike):
    """The address of the bike's decision page."""
    return reverse("buyin:decision", args=[bike.pk])
