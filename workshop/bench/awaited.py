"""When the parts that cards are short of can be there: off the shelf, of orders, or not ordered."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.core import workdays
from inventory.purchasing.models import OPEN, PurchaseLine
from inventory.purchasing.standing import came_of, to_come
from inventory.stock.models import StockLevel
from workshop.core.promise import day_words

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Need:
    """So many of a part that a task is short of, in the part's unit; ``name`` is the part's."""

    task: str
    part: int
    name: str
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class Awaited:
    """The day on which a need can be met, and of what in words."""

    until: dt.date
    words: str


@dataclass(slots=True)
class _Coming:
    """What is still to come of an order."""

    day: dt.date
    number: str
    left: Decimal


class Supply:
    """What is free on the shelf and on its way, handed out to needs in the order of the queue.

    An order without a day is taken to come after the shop's usual lead time; one that is overdue,
    today. What nobody has ordered counts as if it were ordered today.
    """

    def __init__(self, parts: Iterable[int], today: dt.date, usual_lead_days: int) -> None:
        """Read what is there of these parts and what is on order, in three queries."""
        self.today, self.lead = today, usual_lead_days
        keys = set(parts)
        levels = StockLevel.objects.filter(part__in=keys)
        self.free = {each.part_id: each.available for each in levels}
        self.coming = self._coming(keys)

    def meet(self, need: Need) -> Awaited | None:
        """Take a need off what there is; return what it awaits, None where it lies on the shelf."""
        missing = need.quantity - self._take_free(need)
        if not missing:
            return None
        what = f"{need.quantity.normalize():f} × {need.name}"
        for order in self.coming.get(need.part, ()):
            taken = min(order.left, missing)
            order.left -= taken
            missing -= taken
            if not missing:
                late = order.day < self.today
                due = f", due since {day_words(order.day)}" if late else ""
                day = max(order.day, self.today)
                return Awaited(day, f"{what} on order {order.number}{due}")
        return Awaited(workdays.after(self.today, self.lead), f"{what}, not ordered yet")

    def _take_free(self, need: Need) -> Decimal:
        """Take what is free on the shelf, return how many."""
        taken = min(self.free.get(need.part, ZERO), need.quantity)
        if taken:
            self.free[need.part] -= taken
        return taken

    def _coming(self, parts: set[int]) -> dict[int, list[_Coming]]:
        """Return what is on order of each part, first what comes first."""
        lines: Sequence[PurchaseLine] = list(
            PurchaseLine.objects.filter(part__in=parts, order__state__in=OPEN)
            .select_related("order")
            .order_by("pk")
        )
        came = came_of(lines)
        coming: dict[int, list[_Coming]] = defaultdict(list)
        for line in lines:
            left = to_come(line, came[line.pk])
            if left:
                coming[line.part_id].append(_Coming(self._day(line), line.order.number, left))
        for found in coming.values():
            found.sort(key=lambda each: each.day)
        return coming

    def _day(self, line: PurchaseLine) -> dt.date:
        """Return the day on which a line is expected."""
        order = line.order
        if order.expected_on is not None:
            return order.expected_on
        ordered = timezone.localdate(order.ordered_at) if order.ordered_at else self.today
        return workdays.after(ordered, self.lead)
