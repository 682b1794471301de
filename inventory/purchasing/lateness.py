"""By how many working days the last orders of suppliers came later than they were expected."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable

from django.db.models import Max

from inventory.core import workdays
from inventory.purchasing.models import DeliveryLine, State

LOOKED_AT = dt.timedelta(days=730)
"""What came longer ago tells little of how a supplier delivers now; common practice, no source."""


def lateness_of(suppliers: Iterable[int], today: dt.date) -> dict[int, list[int]]:
    """Return by how many working days each supplier's orders came late, in one query.

    An order is there when the last of it is; in time or early counts as 0. Only orders of the last
    two years count that were expected on a day and of which all has come.
    """
    rows = DeliveryLine.objects.filter(
        line__order__supplier__in=set(suppliers),
        line__order__state=State.CLOSED,
        line__order__close_reason="",
        line__order__expected_on__isnull=False,
        movement__reversal__isnull=True,
    ).order_by()
    orders = rows.values_list(
        "line__order_id", "line__order__supplier_id", "line__order__expected_on"
    ).annotate(came=Max("delivery__came_on"))
    late: dict[int, list[int]] = defaultdict(list)
    for _, supplier, expected, came in orders:
        if came >= today - LOOKED_AT:
            late[supplier].append(workdays.until(expected, came))
    return late
