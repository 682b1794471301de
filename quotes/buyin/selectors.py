"""Reading margin checks that were saved."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.outcome import Step, kept_input, steps_of
from quotes.core.margin import MarginResult, check
from workshop.bikes.models import Bike
from workshop.shop.models import Shop

SEARCHED = (
    "bike__stock_no",
    "bike__make",
    "bike__model",
    "bike__frame_number",
)
ON_BIKE_PAGE = 5


@dataclass(frozen=True, slots=True)
class CheckPage:
    """A saved check with its arithmetic, and who decided on it if anybody has.

    ``latest`` tells whether no newer check of the bike stands, ``sheet`` whether a decision sheet
    was kept with it.
    """

    row: MarginCheck
    result: MarginResult
    steps: tuple[Step, ...]
    latest: bool
    decided_by: str
    sheet: bool

    @property
    def open(self) -> bool:
        """Tell whether it can be decided on."""
        return self.latest and self.row.decision == Decision.OPEN


def checks_for_list() -> QuerySet[MarginCheck]:
    """Return every saved check with its bike and who made it, newest first."""
    return MarginCheck.objects.select_related("bike", "by")


def checks_of(bike: Bike) -> list[MarginCheck]:
    """Return the last checks of a bike, newest first."""
    return list(checks_for_list().filter(bike=bike)[:ON_BIKE_PAGE])


def check_for_page(pk: int, shop: Shop) -> CheckPage:
    """Return a saved check as its page shows it, or raise 404."""
    rows = MarginCheck.objects.select_related("bike", "by", "revision__quote", "sheet")
    row = get_object_or_404(rows, pk=pk)
    given = kept_input(row, shop.currency)
    result = check(given)
    return CheckPage(
        row=row,
        result=result,
        steps=steps_of(given, result, shop),
        latest=not MarginCheck.objects.filter(bike=row.bike_id, pk__gt=row.pk).exists(),
        decided_by=_decided_by(row),
        sheet=hasattr(row, "sheet"),
    )


def _decided_by(row: MarginCheck) -> str:
    """Return the name of who decided, from the history."""
    if row.decision == Decision.OPEN:
        return ""
    entry = row.history.filter(decision=row.decision).select_related("history_user").last()
    return str(entry.history_user or "") if entry else ""
