"""Bikes bought into stock and sold, as tests want them: by the room's own verbs."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone

from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.verbs.decide import decide
from quotes.pool.models import MarginLegend
from quotes.sales.models import (
    Channel,
    CreditNote,
    Payment,
    Purchase,
    Reduction,
    Reversal,
    Sale,
)
from quotes.sales.verbs.buy import Bought, buy
from quotes.sales.verbs.reduce import PaidBack, reduce_price
from quotes.sales.verbs.reverse import reverse_purchase
from quotes.sales.verbs.sell import Sold, sell
from quotes.sales.verbs.take_back import take_back
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory, VatRateFactory
from workshop.bikes.models import Bike, Stage
from workshop.shop.models import Shop, VatRate

LEGEND = "Margin scheme – second-hand goods"
BOUGHT_ON, SOLD_ON = dt.date(2026, 2, 3), dt.date(2026, 3, 5)


def trading_shop(**fields: Any) -> Shop:
    """Return a shop that may sell: VAT at 20 %, the words of the margin scheme."""
    shop = ShopFactory.create(**fields)
    for name, value in fields.items():
        setattr(shop, name, value)
    shop.save()
    if not VatRate.objects.exists():
        VatRateFactory.create()
    if not MarginLegend.objects.exists():
        MarginLegend.objects.create(valid_from=dt.date(2000, 1, 1), words=LEGEND)
    return shop


def decided(
    bike: Bike | None = None,
    *,
    price: str = "600",
    decision: Decision = Decision.BUY,
    **fields: Any,
) -> MarginCheck:
    """Return a margin check on which it was decided to buy, or to leave it."""
    bike = bike or BikeFactory.create(stage=Stage.INSPECTED)
    by = UserFactory.create(manager=True)
    figures: dict[str, Any] = {
        "resale_price": Decimal(900),
        "purchase_price": Decimal(price),
        "refurbishment_cost": Decimal(80),
        "selling_fee_share": Decimal(0),
        "selling_fee_net": Decimal(0),
        "warranty_share": Decimal("0.02"),
        "scheme": "margin",
        "vat_rate": Decimal("0.2"),
        "target_profit": Decimal(80),
        "vat": Decimal(50),
        "profit": Decimal(152),
        "ceiling_price": Decimal(686),
        "verdict": "buy",
    }
    check = MarginCheck.objects.create(bike=bike, by=by, **figures | fields)
    return decide(check, decision, note="we talked about it", by=by)


def bought(bike: Bike | None = None, *, price: str = "600", **fields: Any) -> Purchase:
    """Return a bike bought into stock from a private seller."""
    shop = trading_shop()
    check = fields.pop("check", None) or decided(bike, price=price)
    figures: dict[str, Any] = {
        "bought_on": BOUGHT_ON,
        "price": Decimal(price),
        "seller_name": "Ada Moss",
        "seller_address": "3 Mill Row\nNowhere",
        "payment": Payment.TRANSFER,
        "unchecked_reason": "known to us for years",
    }
    return buy(check, Bought(**figures | fields), by=UserFactory.create(manager=True), shop=shop)


def released(purchase: Purchase) -> Purchase:
    """Return the purchase with its bike released, as a job card leaves it."""
    Bike.objects.filter(pk=purchase.bike_id).update(stage=Stage.RELEASED)
    return Purchase.objects.get(pk=purchase.pk)


def in_stock(**fields: Any) -> Purchase:
    """Return a bike in stock, released and ready to be sold."""
    return released(bought(**fields))


def deal(**fields: Any) -> Sold:
    """Return what is entered of a sale."""
    figures: dict[str, Any] = {
        "sold_on": SOLD_ON,
        "price": Decimal(900),
        "buyer_name": "Ben Frost",
        "buyer_address": "8 Quay\nElsewhere",
        "payment": Payment.CARD,
        "channel": Channel.SHOP,
        "warranty_months": 6,
    }
    return Sold(**figures | fields)


def sold(purchase: Purchase | None = None, **fields: Any) -> Sale:
    """Return a bike sold."""
    purchase = purchase or in_stock()
    if "price" in fields:
        fields["price"] = Decimal(fields["price"])
    by = UserFactory.create(desk=True)
    return sell(purchase, deal(**fields), by=by, shop=trading_shop())


def returned(sale: Sale, *, to_bench: bool = True, **fields: Any) -> CreditNote:
    """Return the credit note that takes a sale back."""
    return take_back(
        sale,
        returned_on=fields.get("returned_on", min(timezone.localdate(), dt.date(2026, 4, 7))),
        reason=fields.get("reason", "too small for the buyer"),
        to_bench=to_bench,
        by=UserFactory.create(manager=True),
        shop=trading_shop(),
    )


def reversed_(purchase: Purchase, *, reason: str = "a slip", still_bought: bool = True) -> Reversal:
    """Return what reverses a purchase."""
    by = UserFactory.create(manager=True)
    return reverse_purchase(purchase, reason=reason, still_bought=still_bought, by=by)


def reduced(sale: Sale, amount: str = "60", *, position: int = 1, **fields: Any) -> Reduction:
    """Return the credit note for part of a sale; without a position for part of the bike."""
    figures: dict[str, Any] = {
        "line": sale.lines.get(position=position),
        "reduced_on": dt.date(2026, 3, 20),
        "reason": "a scratch",
    }
    paid = PaidBack(amount=Decimal(amount), **figures | fields)
    return reduce_price(sale, paid, by=UserFactory.create(manager=True), shop=trading_shop())
