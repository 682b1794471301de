"""The shop and its VAT rates as tests want them."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from factory.django import DjangoModelFactory

from inventory.parts.models import VatCode
from workshop.shop.models import Shop, VatRate


class ShopFactory(DjangoModelFactory[Shop]):
    """The one shop: British, registered for VAT, margin scheme."""

    class Meta:
        model = Shop
        django_get_or_create = ("pk",)

    pk = 1
    name = "The Folding Yard"
    address = "1 Invented Lane\nNowhere"
    phone = "01632 960001"
    email = "bench@example.org"
    vat_number = "GB980780684"  # the example in the documentation of python-stdnum


class VatRateFactory(DjangoModelFactory[VatRate]):
    """The standard rate of 20 %, since 2011."""

    class Meta:
        model = VatRate

    code = VatCode.STANDARD
    rate = Decimal("0.2")
    valid_from = dt.date(2011, 1, 4)


def vat_rates() -> list[VatRate]:
    """Make the standard, the reduced and the zero rate."""
    return [
        VatRateFactory.create(code=code, rate=Decimal(rate))
        for code, rate in (
            (VatCode.STANDARD, "0.2"),
            (VatCode.REDUCED, "0.05"),
            (VatCode.ZERO, "0"),
        )
    ]
