"""The receipt a seller signs, invoices, credit notes: made once, kept as bytes."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from babel.dates import format_date
from django.template.loader import render_to_string

from quotes.sales.models import CreditNote, Line, Paper, Purchase, Reduction, Sale
from quotes.sales.selectors.left import BIKE, LineLeft, lines_left
from workshop.bikes.models import Bike
from workshop.shop.models import Shop, VatScheme


@dataclass(frozen=True, slots=True)
class RateSum:
    """What an invoice says of one VAT rate: net, VAT and gross, the sums of its lines."""

    rate: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal


Printed = Line | LineLeft


def rate_sums(lines: Sequence[Printed]) -> tuple[RateSum, ...]:
    """Return the sums of the lines that show VAT, by rate."""
    rates = sorted({line.vat_rate for line in lines if line.vat_rate is not None}, reverse=True)
    return tuple(
        _rate_sum(rate, [line for line in lines if line.vat_rate == rate]) for rate in rates
    )


def _rate_sum(rate: Decimal, lines: Sequence[Printed]) -> RateSum:
    """Return the sum of lines of one rate."""
    vat = sum((line.vat for line in lines), Decimal(0))
    gross = sum((line.gross for line in lines), Decimal(0))
    return RateSum(rate, gross - vat, vat, gross)


def receipt_html(purchase: Purchase, shop: Shop) -> str:
    """Return the receipt that the seller signs as HTML, without its stylesheet."""
    context = {"purchase": purchase, "bike": purchase.bike, "seller": purchase.seller}
    return _html("print/receipt.html", shop, purchase.bought_on, context)


def invoice_html(sale: Sale, shop: Shop) -> str:
    """Return an invoice as HTML, without its stylesheet."""
    return _html("print/invoice.html", shop, sale.sold_on, _sale_context(sale))


def credit_note_html(note: CreditNote, shop: Shop) -> str:
    """Return the credit note over what is left of a sale as HTML, without its stylesheet."""
    before = list(note.sale.reductions.all())
    lines: list[Printed] = [each for each in lines_left(note.sale) if each.gross or not before]
    context = {
        **_sale_context(note.sale, lines),
        **_note_context(note, note.sale, shop),
        "before": before,
        "before_total": sum((each.amount for each in before), Decimal(0)),
    }
    return _html("print/invoice.html", shop, note.returned_on, context)


def reduction_html(note: Reduction, bike: Bike, shop: Shop) -> str:
    """Return the credit note for part of a sale as HTML, without its stylesheet."""
    shown = note.line.vat_rate is not None
    line = LineLeft(
        note.line.description, note.line.vat_rate, note.vat if shown else Decimal(0), note.amount
    )
    context = {
        **_sale_context(note.sale, [line]),
        **_note_context(note, note.sale, shop),
        "bike": bike,
        "part": True,
        "legend": _legend_of(note),
    }
    return _html("print/invoice.html", shop, note.reduced_on, context)


def _legend_of(note: Reduction) -> str:
    """Return the words for part of a sale: those of the margin scheme are for the bike alone."""
    along = note.line.position != BIKE
    return "" if along and note.sale.scheme == VatScheme.MARGIN else note.sale.legend


def _note_context(note: CreditNote | Reduction, sale: Sale, shop: Shop) -> dict[str, Any]:
    """Return what a credit note says of itself."""
    return {"note": note, "sold_day": format_date(sale.sold_on, "long", locale=shop.locale)}


def _sale_context(sale: Sale, lines: Sequence[Printed] | None = None) -> dict[str, Any]:
    """Return what an invoice and its credit notes print; lines without any are the invoice's."""
    lines = list(sale.lines.all()) if lines is None else lines
    return {
        "sale": sale,
        "total": sum((line.gross for line in lines), Decimal(0)),
        "legend": sale.legend,
        "purchase": sale.purchase,
        "bike": sale.purchase.bike,
        "buyer": getattr(sale, "buyer", None),
        "lines": lines,
        "rates": rate_sums(lines),
        "shows_vat": any(line.vat_rate is not None for line in lines),
    }


def _html(template: str, shop: Shop, day: dt.date, context: Mapping[str, Any]) -> str:
    """Return a paper with the shop's head and its day in the shop's language."""
    own = {
        "shop": shop,
        "language": shop.locale.replace("_", "-"),
        "day": format_date(day, "long", locale=shop.locale),
        "dated": day,
    }
    return render_to_string(template, {**own, **context})


def keep_receipt(purchase: Purchase, shop: Shop) -> Paper:
    """Return the receipt of a purchase, made and kept."""
    return _keep(receipt_html(purchase, shop), purchase=purchase)


def keep_invoice(sale: Sale, shop: Shop) -> Paper:
    """Return the invoice of a sale, made and kept; its lines stand from then on."""
    return _keep(invoice_html(sale, shop), sale=sale)


def keep_credit_note(note: CreditNote, shop: Shop) -> Paper:
    """Return a credit note, made and kept."""
    return _keep(credit_note_html(note, shop), credit_note=note)


def keep_reduction(note: Reduction, bike: Bike, shop: Shop) -> Paper:
    """Return the credit note for part of a sale, made and kept."""
    return _keep(reduction_html(note, bike, shop), reduction=note)


def _keep(html: str, **of: Any) -> Paper:
    """Return the PDF of a page, kept."""
    from inventory.paper.press import pdf_of

    pdf = pdf_of(html)
    return Paper.objects.create(pdf=pdf, sha256=hashlib.sha256(pdf).hexdigest(), **of)
