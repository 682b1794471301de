"""The seller's declaration as a PDF of one page, to be signed on paper."""

from __future__ import annotations

from django.template.loader import render_to_string
from django.utils import timezone

from inventory.paper.press import pdf_of
from quotes.provenance.models import ProvenanceCheck
from workshop.shop.models import Shop


def declaration_html(check: ProvenanceCheck, shop: Shop) -> str:
    """Return the declaration as HTML, without its stylesheet."""
    context = {
        "check": check,
        "bike": check.bike,
        "shop": shop,
        "identity": getattr(check, "identity", None),
        "today": timezone.localdate(),
        "language": shop.locale.replace("_", "-"),
    }
    return render_to_string("print/declaration.html", context)


def declaration_of(check: ProvenanceCheck, shop: Shop) -> bytes:
    """Return the declaration as PDF."""
    return pdf_of(declaration_html(check, shop))
