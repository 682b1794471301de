"""Buys demo bikes into stock, as the shop does: from whom, under which scheme, once wrongly."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from quotes.buyin.models import MarginCheck
from quotes.demo.rows import DemoError, read_csv
from quotes.pool.models import Pool
from quotes.pool.verbs.join import join_pool
from quotes.sales.models import Payment, Purchase
from quotes.sales.verbs.buy import Bought, buy
from quotes.sales.verbs.reverse import reverse_purchase
from workshop.people.models import User
from workshop.shop.selectors import current_shop

FILE = "purchases.csv"
POOLED_DAYS = 120
"""So many days ago the shop had joined the pool."""


@dataclass(frozen=True, slots=True)
class PurchaseRow:
    """How a bike is bought where it is not from a private seller under the margin scheme.

    ``slip`` is the price that was entered first, by mistake.
    """

    pooled: bool = False
    invoice: str = ""
    slip: Decimal | None = None


USUAL = PurchaseRow()


def purchase_rows() -> dict[str, PurchaseRow]:
    """Return how some of the demo's bikes are bought, by frame number.

    Raises:
        DemoError: a row can't be read; the message names file and line.
    """
    rows = {}
    for line, row in enumerate(read_csv(FILE), start=2):
        try:
            rows[row["frame_number"]] = PurchaseRow(
                row["scheme"] == "pooled",
                row["invoice"],
                Decimal(row["slip"]) if row["slip"] else None,
            )
        except (ArithmeticError, KeyError) as error:
            raise DemoError(f"fixtures/demo/{FILE}, line {line}: {error!r}.") from error
    return rows


def pool_since() -> Pool:
    """Return the pool, which the shop joined at the beginning of a month, by quarters."""
    day = timezone.localdate() - timedelta(days=POOLED_DAYS)
    return join_pool(joined_on=day.replace(day=1), months=3, begins_in=1)


def buy_in(check: MarginCheck, paid: Decimal, manager: User) -> Purchase:
    """Return the row of the stock book that a purchase opens, a wrong one put right before."""
    how = purchase_rows().get(check.bike.frame_number, USUAL)
    if how.slip is not None:
        wrong = _bought(check, how.slip, how, manager)
        reason = "the price of another bike was written"
        reverse_purchase(wrong, reason=reason, still_bought=True, by=manager)
    return _bought(check, paid, how, manager)


def _bought(check: MarginCheck, paid: Decimal, how: PurchaseRow, manager: User) -> Purchase:
    """Return a bike bought today from whom it came."""
    seller = check.bike.customer
    bought = Bought(
        bought_on=timezone.localdate(),
        price=paid,
        seller_name=seller.name,
        seller_address=seller.address,
        payment=Payment.TRANSFER,
        seller_invoice=how.invoice,
        vat_shown=bool(how.invoice),
        pooled=how.pooled,
    )
    return buy(check, bought, by=manager, shop=current_shop())
