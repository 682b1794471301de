"""The decision sheet as one printed page."""

from __future__ import annotations

from django.template.loader import render_to_string

from inventory.paper.press import pdf_of
from quotes.buyin.outcome import VERDICTS
from quotes.deciding.selectors import KeptSheet
from workshop.shop.models import Shop


def sheet_html(sheet: KeptSheet, shop: Shop) -> str:
    """Return the sheet as HTML, without its stylesheet."""
    context = {
        "row": sheet.row.check_made,
        "bike": sheet.row.check_made.bike,
        "figures": sheet.figures,
        "shop": shop,
        "word": VERDICTS[sheet.figures.word][0],
        "language": shop.locale.replace("_", "-"),
    }
    return render_to_string("print/decision.html", context)


def sheet_pdf(sheet: KeptSheet, shop: Shop) -> bytes:
    """Return the sheet as PDF; the same sheet gives the same bytes."""
    return pdf_of(sheet_html(sheet, shop))
