"""How long names stand in the stock book: what is due by the retention rules, and deleting it.

A seller's name goes, with the receipt that bears it, so many months after the bike was sold on or
the purchase reversed; a buyer's so many after the sale, or after it was taken back. Invoices stay
as they were made.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from django.utils import timezone

from quotes.provenance.models import RetentionKind
from quotes.provenance.retention.due import Due, Kept
from quotes.provenance.retention.others import Cutoffs, Keeper, Pks
from quotes.sales.models import Paper, Party, Purchase, Reversal, Sale

SELLER, BUYER = RetentionKind.BOOK_SELLER, RetentionKind.BOOK_BUYER


def due(cutoffs: Cutoffs) -> dict[RetentionKind, list[Due]]:
    """Return the names that are due before the moments given."""
    found: dict[RetentionKind, list[Due]] = {}
    if cutoff := cutoffs.get(SELLER):
        rows = Sale.objects.filter(credit_note__isnull=True, purchase__seller__isnull=False)
        found[SELLER] = [
            _due(sale.purchase.seller, sale.purchase, sale.sold_on)
            for sale in rows.select_related("purchase__seller").order_by("pk")
            if _moment(sale.sold_on) < cutoff
        ]
        gone = Reversal.objects.filter(purchase__seller__isnull=False)
        found[SELLER] += [
            _due(each.purchase.seller, each.purchase, each.reversed_on)
            for each in gone.select_related("purchase__seller").order_by("pk")
            if _moment(each.reversed_on) < cutoff
        ]
    if cutoff := cutoffs.get(BUYER):
        rows = Sale.objects.filter(buyer__isnull=False)
        found[BUYER] = [
            _due(sale.buyer, sale, _last(sale))
            for sale in rows.select_related("buyer", "credit_note")
            .prefetch_related("reductions")
            .order_by("pk")
            if _moment(_last(sale)) < cutoff
        ]
    return found


def _last(sale: Sale) -> dt.date:
    """Return the last day on which something happened to a sale."""
    note = getattr(sale, "credit_note", None)
    days = [each.reduced_on for each in sale.reductions.all()]
    last: dt.date = max([sale.sold_on, *days, *([note.returned_on] if note else [])])
    return last


def _due(party: Party, of: Purchase | Sale, since: dt.date) -> Due:
    """Return a name as due."""
    return Due(party.pk, f"{party}, {of}", _moment(since))


def _moment(day: dt.date) -> dt.datetime:
    """Return the beginning of a day."""
    return timezone.make_aware(dt.datetime.combine(day, dt.time.min))


def delete(pks: Pks) -> int:
    """Delete names, and the receipts that bear a seller's; return how many names."""
    sellers = Party.objects.filter(pk__in=pks.get(SELLER, ()))
    Paper.objects.filter(purchase__in=sellers.values("purchase")).delete()
    parties = Party.objects.filter(pk__in=[*pks.get(SELLER, ()), *pks.get(BUYER, ())])
    return parties.delete()[0]


def kept(pks: Pks) -> Sequence[Kept]:
    """Return the invoices and credit notes that bear a buyer's name still."""
    return list(_papers(pks.get(BUYER, ())))


def _papers(buyers: Sequence[int]) -> Iterator[Kept]:
    """Yield what was issued to buyers."""
    for sale in Sale.objects.filter(buyer__in=buyers).order_by("pk"):
        yield Kept(
            f"{sale}: the PDF of the invoice as it was made",
            "what was issued is kept as it is; it goes with the shop's books",
        )


KEEPER = Keeper((SELLER, BUYER), due, delete, kept)
