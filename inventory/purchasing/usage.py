"""Usage a day from the ledger, lead times from deliveries, and the reorder points they give."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Min, QuerySet
from django.utils import timezone

from inventory.core.reorder import (
    LEAST_DAYS,
    LEAST_ORDERS,
    LeadTime,
    ReorderPoint,
    Usage,
    reorder_point,
    usage_of,
)
from inventory.parts.models import Part
from inventory.purchasing.models import Delivery, PurchasingSettings
from inventory.purchasing.offers import offers_for
from inventory.stock.models import MovementKind, StockMovement
from inventory.stock.selectors import end_of
from inventory.suppliers.models import Supplier

DAYS_A_WEEK, WORKING_DAYS = 7, 5


@dataclass(frozen=True, slots=True)
class Told:
    """What is known of a part's usage and lead time, and the reorder point that they give.

    ``days`` is over how many days usage was reckoned; ``missing`` says why there is no point.
    """

    part: Part
    supplier: Supplier | None
    days: int
    usage: Usage | None
    lead: LeadTime | None
    orders: int
    point: ReorderPoint | None
    missing: str

    @property
    def differs(self) -> bool:
        """Tell whether the minimum that is kept is another."""
        return self.point is not None and self.point.order_below != self.part.minimum

    @property
    def reaches_words(self) -> str:
        """Return the service level that the point reaches, in whole per cent, rounded down."""
        return f"{int(self.point.reaches * 100)} %" if self.point else ""


def settings_now() -> PurchasingSettings:
    """Return the shop's choices, the usual ones where it has made none."""
    return PurchasingSettings.objects.filter(pk=1).first() or PurchasingSettings()


def parts_in_use() -> QuerySet[Part]:
    """Return the parts in use, of which anything has ever been drawn."""
    drawn = StockMovement.objects.filter(kind=MovementKind.DRAW).order_by().values("part_id")
    return Part.objects.filter(active=True, pk__in=drawn)


def daily_usage(
    parts: Iterable[int], days: int, today: dt.date
) -> dict[int, dict[dt.date, Decimal]]:
    """Return how many of each part were used on each of the last days, today left out.

    What came back counts on the day on which it was drawn; what was taken back does not count.
    """
    since, until = today - dt.timedelta(days=days), today - dt.timedelta(days=1)
    rows = StockMovement.objects.filter(
        part__in=list(parts),
        kind__in=(MovementKind.DRAW, MovementKind.RETURN),
        at__gte=end_of(since - dt.timedelta(days=1)),
        reversal__isnull=True,
    ).order_by()
    used: dict[int, dict[dt.date, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for part_id, quantity, at, drawn_at in rows.values_list(
        "part_id", "quantity", "at", "returns__at"
    ):
        day = timezone.localtime(drawn_at or at).date()
        if since <= day <= until:
            used[part_id][day] -= quantity
    return used


def first_days(parts: Iterable[int]) -> dict[int, dt.date]:
    """Return the day on which each part first came or went."""
    rows = StockMovement.objects.filter(part__in=list(parts)).order_by()
    firsts = rows.values_list("part_id").annotate(first=Min("at"))
    return {part_id: timezone.localtime(first).date() for part_id, first in firsts}


def lead_times(suppliers: Iterable[Supplier]) -> dict[int, tuple[LeadTime | None, int]]:
    """Return each supplier's lead time, and from how many orders it was measured.

    With fewer than five orders that have come, it is what the supplier's page says: working
    days, of which a week has five.
    """
    known = list(suppliers)
    rows = Delivery.objects.filter(order__supplier__in=known).order_by()
    firsts = rows.values_list("order_id", "order__supplier_id", "order__ordered_at")
    took: dict[int, list[float]] = defaultdict(list)
    for _, supplier_id, ordered_at, came_on in firsts.annotate(first=Min("came_on")):
        took[supplier_id].append((came_on - timezone.localtime(ordered_at).date()).days)
    return {each.pk: _lead_time(each, took[each.pk]) for each in known}


def _lead_time(supplier: Supplier, took: Sequence[float]) -> tuple[LeadTime | None, int]:
    """Return the lead time as measured, or as it was told."""
    if len(took) >= LEAST_ORDERS:
        measured = usage_of(took)
        return LeadTime(measured.mean, measured.sd), len(took)
    if supplier.lead_days is None:
        return None, 0
    return LeadTime(supplier.lead_days * DAYS_A_WEEK / WORKING_DAYS), 0


def reorder_points(
    parts: Sequence[Part], currency: str, today: dt.date | None = None
) -> list[Told]:
    """Return what is known of parts and their reorder points, in a constant number of queries."""
    day = today or timezone.localdate()
    choices = settings_now()
    keys = [part.pk for part in parts]
    offers, firsts = offers_for(keys, currency), first_days(keys)
    used = daily_usage(keys, choices.usage_days, day)
    best = {pk: found[0].supplier for pk, found in offers.items()}
    leads = lead_times({each.pk: each for each in best.values()}.values())
    told = []
    for part in parts:
        first = max(firsts.get(part.pk, day), day - dt.timedelta(days=choices.usage_days))
        supplier = best.get(part.pk)
        lead, orders = leads[supplier.pk] if supplier else (None, 0)
        daily = _daily(used[part.pk], first, day)
        told.append(_told(part, supplier, daily, lead, orders, choices))
    return told


def _daily(used: dict[dt.date, Decimal], first: dt.date, today: dt.date) -> list[float]:
    """Return usage by day from the first one to yesterday, days without any among them."""
    days = (today - first).days
    return [
        float(max(used.get(first + dt.timedelta(days=each), Decimal(0)), Decimal(0)))
        for each in range(days)
    ]


def _told(
    part: Part,
    supplier: Supplier | None,
    daily: Sequence[float],
    lead: LeadTime | None,
    orders: int,
    choices: PurchasingSettings,
) -> Told:
    """Return what is known of a part, with its reorder point or why there is none."""
    usage = usage_of(daily) if len(daily) >= LEAST_DAYS else None
    missing = ""
    if usage is None:
        missing = f"Kept for fewer than {LEAST_DAYS} days."
    elif supplier is None:
        missing = "No supplier’s article is matched with it."
    elif lead is None:
        missing = f"The lead time of {supplier} is not known."
    point = None
    if usage is not None and lead is not None:
        level = float(choices.service_level)
        point = reorder_point(usage, lead, level, look_every=choices.look_every)
    return Told(part, supplier, len(daily), usage, lead, orders, point, missing)
