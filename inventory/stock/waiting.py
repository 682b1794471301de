"""Reading how long parts keep one waiting: what is free on the shelf, else the lead times."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.db.models import F, Min

from inventory.stock.models import StockLevel, StockMovement
from inventory.suppliers.models import SupplierPart
from inventory.suppliers.selectors import CURRENT

Wanted = tuple[str, Decimal]
"""A part's code and how many of it, in the part's unit."""


def days_to_wait(wanted: Iterable[Wanted], usual_days: int) -> dict[Wanted, int]:
    """Return how many working days each keeps one waiting, in three queries.

    It is 0 where enough are on hand that nobody has reserved. Else it is the shortest lead time of
    the suppliers in use that sell the part today, or ``usual_days`` where none is known; a part
    that was never booked counts as not there. While nothing at all has been booked the ledger is
    not in use and says nothing of any part: nothing is returned.
    """
    pairs = set(wanted)
    if not pairs or not StockMovement.objects.exists():
        return {}
    codes = {code for code, _ in pairs}
    free, lead = _free(codes), _lead_days(codes)
    return {
        (code, quantity): 0
        if quantity <= free.get(code, Decimal(0))
        else lead.get(code, usual_days)
        for code, quantity in pairs
    }


def _free(codes: Iterable[str]) -> Mapping[str, Decimal]:
    """Return how many of each part nobody has reserved; those never booked are missing."""
    rows = StockLevel.objects.filter(part__code__in=codes)
    return dict(rows.values_list("part__code", F("on_hand") - F("reserved")))


def _lead_days(codes: Iterable[str]) -> Mapping[str, int]:
    """Return the shortest lead time known of each part, in working days."""
    rows = SupplierPart.objects.filter(
        CURRENT,
        part__code__in=codes,
        supplier__active=True,
        supplier__lead_days__isnull=False,
    ).order_by()
    return dict(rows.values_list("part__code").annotate(least=Min("supplier__lead_days")))
