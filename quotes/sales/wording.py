"""The words that an invoice must carry, by the VAT scheme of the sale."""

from __future__ import annotations

import datetime as dt

from quotes.core.margin import Scheme
from quotes.pool.selectors import legend_on
from quotes.sales.errors import SalesError

NOT_REGISTERED = "The shop is not registered for VAT: none is charged."
NOT_REGISTERED_IN = {"DE": "Steuerfreier Kleinunternehmer (§ 19 UStG)"}
"""Where a country asks for words of its own: § 34a no. 5 UStDV; everyday words will do, such as
these (UStAE 14.7a)."""


def legend(scheme: Scheme, day: dt.date, country: str) -> str:
    """Return the words that an invoice of a day must carry, empty where it needs none.

    Raises:
        SalesError: it must carry some and the catalogue does not know them.
    """
    if scheme is Scheme.NONE:
        return NOT_REGISTERED_IN.get(country, NOT_REGISTERED)
    if scheme is not Scheme.MARGIN:
        return ""
    words = legend_on(day)
    if not words:
        raise SalesError(
            "The catalogue has no words for margin-scheme invoices on that day. Enter them first: "
            "without them the invoice does not hold."
        )
    return words
