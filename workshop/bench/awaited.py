"""When the parts that cards are short of can be there: off the shelf, of orders, or not ordered."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.core import workdays
from inventory.purchasing.lateness import lateness_of
from inventory.purchasing.models import OPEN, PurchaseLine
from inventory.purchasing.standing import came_of, to_come
from inventory.stock.models import StockLevel
from workshop.core.arrivals import Arrival, arrival_of
from workshop.core.promise import Held, Odds, day_words

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
    """The day on which a need can be met, and of what in words.

    Where its supplier may be later still, ``odds`` say how often it is there on that day; by
    ``latest`` it is there in all cases known.
    """

    until: dt.date
    words: str
    latest: dt.date | None = None
    odds: frozenset[Odds] = frozenset()

    def held(self, minutes: float) -> Held:
        """Return standard minutes that await it."""
        return Held(minutes, self.until, self.words, self.latest, self.odds)


def together(waits: Sequence[Awaited]) -> Awaited:
    """Return what a task awaits as one: until the last of it is there."""
    return Awaited(
        max(each.until for each in waits),
        ", ".join(dict.fromkeys(each.words for each in waits)),
        max(each.latest or each.until for each in waits),
        frozenset[Odds]().union(*(each.odds for each in waits)),
    )


@dataclass(slots=True)
class _Coming:
    """What is still to come of an order: expected on a day, and how late its supplier is."""

    day: dt.date
    number: str
    left: Decimal
    arrival: Arrival

    @property
    def usual(self) -> dt.date:
        """Return the day on which it is reckoned to come."""
        return workdays.after(self.day, self.arrival.usual)

    @property
    def latest(self) -> dt.date:
        """Return the day by which it is there in all cases known."""
        return workdays.after(self.day, self.arrival.most)

    @property
    def may_be_later(self) -> bool:
        """Tell whether it may come after the day that is reckoned."""
        return self.arrival.chance < 1

    def note(self, today: dt.date) -> str:
        """Return in words what makes it later than its order says, "" where nothing does."""
        seen = self.arrival
        if self.day < today:
            due = f", due since {day_words(self.day)}"
        else:
            due = f", due {day_words(self.day)}" if seen.late else ""
        often = f" (supplier late with {seen.late} of {seen.orders} orders)" if seen.late else ""
        return due + often


class Supply:
    """What is free on the shelf and on its way, handed out to needs in the order of the queue.

    An order with a day is taken to be as late as its supplier's last orders were, so that the
    share of promises holds (``core.arrivals``), in time where too few tell. One without a day is
    taken to come after the shop's usual lead time; one that is later than any before, today. What
    nobody has ordered counts as if it were ordered today.
    """

    def __init__(
        self, parts: Iterable[int], today: dt.date, usual_lead_days: int, share: float
    ) -> None:
        """Read what is there of these parts, what is on order and from whom, in four queries."""
        self.today, self.lead, self.share = today, usual_lead_days, share
        keys = set(parts)
        levels = StockLevel.objects.filter(part__in=keys)
        self.free = {each.part_id: each.available for each in levels}
        self.coming = self._coming(keys)

    def meet(self, need: Need) -> Awaited | None:
        """Take a need off what there is; return what it awaits, None where it lies on the shelf."""
        missing = need.quantity - self._take_free(need)
        if not missing:
            return None
        what, orders = f"{need.quantity.normalize():f} × {need.name}", []
        for order in self.coming.get(need.part, ()):
            taken = min(order.left, missing)
            order.left -= taken
            missing -= taken
            if taken:
                orders.append(order)
            if not missing:
                return self._awaited(orders, what)
        return Awaited(workdays.after(self.today, self.lead), f"{what}, not ordered yet")

    def _awaited(self, orders: Sequence[_Coming], what: str) -> Awaited:
        """Return when what comes of orders is there, all of it."""
        days = [max(each.usual, self.today) for each in orders]
        latest = [max(each.latest, self.today) for each in orders]
        numbers = " and ".join(each.number for each in orders)
        notes = "".join(dict.fromkeys(each.note(self.today) for each in orders))
        odds = {Odds(each.number, each.arrival.chance) for each in orders if each.may_be_later}
        return Awaited(max(days), f"{what} on order {numbers}{notes}", max(latest), frozenset(odds))

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
        late = lateness_of((each.order.supplier_id for each in lines), self.today)
        coming: dict[int, list[_Coming]] = defaultdict(list)
        for line in lines:
            left = to_come(line, came[line.pk])
            if left:
                told = late.get(line.order.supplier_id, ()) if line.order.expected_on else ()
                day = self._day(line)
                arrival = arrival_of(told, self.share, overdue=workdays.until(day, self.today))
                coming[line.part_id].append(_Coming(day, line.order.number, left, arrival))
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
