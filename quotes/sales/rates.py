"""The rate of VAT that a purchase or a sale is entered at."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from quotes.sales.errors import SalesError
from workshop.shop.selectors import vat_rates_on


def standard_rate(day: dt.date) -> Decimal:
    """Return the standard rate of VAT in force on a day, as a fraction.

    Raises:
        SalesError: the catalogue knows none, so that the book would keep a VAT of nothing.
    """
    rate = vat_rates_on(day).get("standard")
    if rate is None:
        raise SalesError(
            "The catalogue has no standard rate of VAT in force on that day. Enter it first: "
            "what is written into the stock book stays."
        )
    return rate
