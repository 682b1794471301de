"""The stock book of a span of days: its rows, their sums, and what they mean for the VAT return."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef, Prefetch, Q

from inventory.core.money import ZERO
from quotes.pool.words import in_words
from quotes.sales.models import CreditNote, Party, Purchase, Reduction, Reversal, Sale
from quotes.sales.selectors.left import is_of_bike, left_of, with_reductions
from workshop.shop.models import VatScheme

POOLED = "pooled"
FIRST_DAY, LAST_DAY = dt.date(1, 1, 1), dt.date(9999, 12, 31)


@dataclass(frozen=True, slots=True)
class Days:
    """A span of days, both ends in it."""

    first: dt.date = FIRST_DAY
    last: dt.date = LAST_DAY

    def __contains__(self, day: dt.date | None) -> bool:
        """Tell whether a day lies in it."""
        return day is not None and self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class BookRow:
    """A printed row. Amounts gross; below zero where a sale was taken back or a purchase reversed.

    A bike that was taken back, and sold again, has a row for each: its purchase price stands in
    the first one only, so that the column adds up. ``remark`` says that a purchase was reversed,
    in its own row and in the row that reverses it, and why part of a price was paid back.
    """

    pk: int
    number: str
    stock_no: str
    bought_on: dt.date
    document: str
    seller: str
    seller_address: str
    description: str
    frame_number: str
    scheme: str
    purchase_price: Decimal | None
    sold_on: dt.date | None = None
    invoice: str = ""
    buyer: str = ""
    buyer_address: str = ""
    price: Decimal | None = None
    margin: Decimal | None = None
    vat: Decimal | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class BookSums:
    """The sums of the printed columns."""

    purchase_price: Decimal
    price: Decimal
    margin: Decimal
    vat: Decimal


@dataclass(frozen=True, slots=True)
class Book:
    """The stock book of a span of days, as it stood at its end."""

    days: Days
    rows: tuple[BookRow, ...]
    sums: BookSums


def book_of(days: Days) -> Book:
    """Return the rows in which something happened in these days; three queries however many.

    What happened after the last day is not in them.
    """
    rows = tuple(row for purchase in purchases_in(days) for row in rows_of(purchase, days))
    return Book(days, rows, sums_of(rows))


def purchases_in(days: Days) -> list[Purchase]:
    """Return the purchases of which something happened in these days, with their sales."""
    span = (days.first, days.last)
    sale = Sale.objects.filter(purchase=OuterRef("pk"))
    happened = (
        Q(bought_on__range=span)
        | Q(Exists(sale.filter(sold_on__range=span)))
        | Q(Exists(sale.filter(credit_note__returned_on__range=span)))
        | Q(Exists(sale.filter(reductions__reduced_on__range=span)))
        | Q(reversal__reversed_on__range=span)
    )
    sales = Sale.objects.select_related("buyer", "credit_note").order_by("turn")
    sales = sales.prefetch_related(with_reductions())
    rows = Purchase.objects.filter(happened).select_related("bike", "seller", "reversal__by")
    return list(rows.prefetch_related(Prefetch("sales", sales)).order_by("pk"))


def rows_of(purchase: Purchase, days: Days) -> Iterator[BookRow]:
    """Yield the rows of a purchase in which something happened in these days."""
    sales = list(purchase.sales.all())
    first = sales[0] if sales and sales[0].sold_on <= days.last else None
    gone = reversal_of(purchase)
    if gone and gone.reversed_on > days.last:
        gone = None
    if purchase.bought_on in days or (first and first.sold_on in days):
        remark = f"reversed on {in_words(gone.reversed_on)}" if gone else ""
        yield _row(purchase, purchase.price, remark=remark, **(_sold(first) if first else {}))
    if gone and gone.reversed_on in days:
        yield _reversed(purchase, gone)
    for sale in sales:
        note = note_of(sale)
        if sale.turn > 1 and sale.sold_on in days:
            yield _row(purchase, None, **_sold(sale))
        for less in sale.reductions.all():
            if is_of_bike(less) and less.reduced_on in days:
                yield _row(purchase, None, **_reduced(sale, less))
        if note is not None and note.returned_on in days:
            yield _row(purchase, None, **_taken_back(sale, note))


def note_of(sale: Sale) -> CreditNote | None:
    """Return what took a sale back, None where it holds."""
    return getattr(sale, "credit_note", None)


def reversal_of(purchase: Purchase) -> Reversal | None:
    """Return what reversed a purchase, None where it holds."""
    return getattr(purchase, "reversal", None)


def _reversed(purchase: Purchase, gone: Reversal) -> BookRow:
    """Return the row that reverses a purchase: its price below zero, who, when and why."""
    remark = f"reversal by {gone.by} on {in_words(gone.reversed_on)}: {gone.reason}"
    return _row(purchase, -purchase.price, remark=remark)


def _row(purchase: Purchase, paid: Decimal | None, **sold: object) -> BookRow:
    """Return a row with what it says of the purchase."""
    seller: Party | None = getattr(purchase, "seller", None)
    return BookRow(
        pk=purchase.pk,
        number=purchase.number,
        stock_no=purchase.bike.stock_no,
        bought_on=purchase.bought_on,
        document=purchase.document_no,
        seller=seller.name if seller else "deleted, retention",
        seller_address=seller.address if seller else "",
        description=purchase.description,
        frame_number=purchase.frame_number,
        scheme=scheme_words(purchase.scheme, pooled=purchase.is_pooled),
        purchase_price=paid,
        **sold,  # type: ignore[arg-type] # the fields of a sale
    )


def scheme_words(scheme: str, *, pooled: bool) -> str:
    """Return a scheme as the book writes it."""
    return POOLED if pooled else SCHEMES[VatScheme(scheme)]


SCHEMES = {
    VatScheme.MARGIN: "margin",
    VatScheme.ORDINARY: "ordinary",
    VatScheme.NONE: "no VAT",
}


def _sold(sale: Sale) -> dict[str, object]:
    """Return what a row says of a sale."""
    buyer: Party | None = getattr(sale, "buyer", None)
    return {
        "sold_on": sale.sold_on,
        "invoice": sale.number,
        "buyer": buyer.name if buyer else "deleted, retention",
        "buyer_address": buyer.address if buyer else "",
        "price": sale.price,
        "margin": sale.margin,
        "vat": sale.vat,
    }


def _reduced(sale: Sale, less: Reduction) -> dict[str, object]:
    """Return what a row says of a price that was reduced after the sale."""
    return _sold(sale) | {
        "sold_on": less.reduced_on,
        "invoice": less.number,
        "price": -less.amount,
        "margin": -less.amount,
        "vat": -less.vat,
        "remark": f"part of {sale} paid back: {less.reason}",
    }


def _taken_back(sale: Sale, note: CreditNote) -> dict[str, object]:
    """Return what a row says of a sale that was taken back: what was left of it."""
    left = left_of(sale)
    return _sold(sale) | {
        "sold_on": note.returned_on,
        "invoice": note.number,
        "price": -left.price,
        "margin": -left.margin,
        "vat": -left.vat,
    }


def sums_of(rows: Iterable[BookRow]) -> BookSums:
    """Return the sums of the amounts as they are printed."""
    rows = tuple(rows)
    return BookSums(
        *(
            sum((getattr(row, name) or ZERO for row in rows), ZERO)
            for name in ("purchase_price", "price", "margin", "vat")
        )
    )
