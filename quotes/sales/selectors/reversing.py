"""What stands in the way of reversing a purchase."""

from __future__ import annotations

from quotes.sales.models import Purchase, Reversal, Sale
from workshop.jobcards.models import JobCard

WORKED_ON = (
    "Job card {} was opened for the bike since it was bought. A purchase with work on it stays: "
    "where its figures are wrong, let your accountant put the difference right in the books."
)
SOLD = "The bike was sold with invoice {}. What an invoice rests on stays as it was entered."
TAKEN_BACK = (
    "The bike was sold with invoice {} and taken back with credit note {}. What an invoice rests "
    "on stays as it was entered."
)


def reasons_not_to_reverse(purchase: Purchase) -> list[str]:
    """Return what hangs on a purchase and forbids to reverse it, as sentences; empty if nothing."""
    if Reversal.objects.filter(purchase=purchase).exists():
        return [f"{purchase} was reversed already."]
    sales = Sale.objects.filter(purchase=purchase).select_related("credit_note").order_by("turn")
    cards = JobCard.objects.filter(
        bike=purchase.bike_id, opened_at__date__gte=purchase.bought_on
    ).order_by("pk")
    return [*(_sale_in_the_way(each) for each in sales), *map(WORKED_ON.format, cards)]


def _sale_in_the_way(sale: Sale) -> str:
    """Return that a sale stands in the way, and its credit note where it was taken back."""
    note = getattr(sale, "credit_note", None)
    return TAKEN_BACK.format(sale, note) if note else SOLD.format(sale)
