"""What sold bikes teach: each beside what was expected of it, and the middle by make and age."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import ZERO, quantise
from quotes.core.learned import Medians, Outcome, age_band, grouped, medians
from quotes.core.stockbook import made
from quotes.core.vat import margin_vat
from quotes.sales.models import Purchase, Sale
from quotes.sales.selectors.left import Left, left_of, with_reductions
from quotes.sales.selectors.work import NOTHING, WorkDone, work_done
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Learned:
    """A sold bike beside what was expected of it. ``age_years`` is that at the sale."""

    sale: Sale
    outcome: Outcome
    work: WorkDone
    age_years: int | None

    @property
    def shelf_days(self) -> int | None:
        """Return the days from its release to its sale, None where it was not released here."""
        released = self.work.released_on
        return (self.sale.sold_on - released).days if released else None


@dataclass(frozen=True, slots=True)
class LearnedPage:
    """Sold bikes, the latest first, with the medians of all, by make and by age."""

    rows: tuple[Learned, ...]
    whole: Medians | None
    by_make: tuple[tuple[str, Medians], ...]
    by_age: tuple[tuple[str, Medians], ...]


def learned_page(shop: Shop) -> LearnedPage:
    """Return what the sales that hold teach; a constant number of queries."""
    sales = (
        Sale.objects.filter(credit_note__isnull=True)
        .select_related("purchase__bike", "purchase__check_made")
        .prefetch_related(with_reductions())
        .order_by("-sold_on", "-pk")
    )
    rows = learned_from(list(sales), shop)
    pairs = [(each, each.outcome) for each in rows]
    return LearnedPage(
        rows,
        medians([each.outcome for each in rows], shop.currency) if rows else None,
        grouped(((row.sale.purchase.bike.make, each) for row, each in pairs), shop.currency),
        grouped(((age_band(row.age_years), each) for row, each in pairs), shop.currency),
    )


def learned_from(sales: list[Sale], shop: Shop) -> tuple[Learned, ...]:
    """Return sales beside what was expected; their purchases and checks must be loaded.

    A price counts as what is left of it.
    """
    purchases = [sale.purchase for sale in sales]
    ends = {sale.purchase_id: sale.sold_on for sale in sales}
    work = work_done(purchases, ends, shop)
    return tuple(_learned(sale, work.get(sale.purchase_id, NOTHING), shop) for sale in sales)


def _learned(sale: Sale, work: WorkDone, shop: Shop) -> Learned:
    """Return one sale beside what was expected of it."""
    purchase, check = sale.purchase, sale.purchase.check_made
    left = left_of(sale)
    reserve = quantise(left.price * check.warranty_share, shop.currency)
    outcome = Outcome(
        cost_planned=check.refurbishment_cost,
        cost=work.cost,
        minutes_planned=work.planned,
        minutes=work.minutes,
        price_expected=check.resale_price,
        price=left.price,
        profit_expected=check.profit,
        profit=made(
            left.price,
            purchase.price - purchase.input_vat,
            vat_of_sale(sale, left, shop),
            sale.fees_net,
            reserve,
            work.cost,
        ),
        days=(sale.sold_on - purchase.bought_on).days,
    )
    return Learned(sale, outcome, work, purchase.bike.age_years(sale.sold_on))


def vat_of_sale(sale: Sale, left: Left, shop: Shop) -> Decimal:
    """Return the VAT on what is left of a sale; a pooled one's as if it stood by itself."""
    if not sale.is_pooled:
        return left.vat
    return margin_vat(left.price, sale.purchase.price, sale.vat_rate, shop.currency)


def spent_so_far(purchase: Purchase, today: dt.date, shop: Shop) -> WorkDone:
    """Return what the work on a bike in stock has cost up to a day."""
    return work_done([purchase], {purchase.pk: today}, shop).get(purchase.pk, WorkDone(ZERO))
