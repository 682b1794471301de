"""Stocks the demo shop: where parts lie, what came, and what has been drawn since."""

from __future__ import annotations

import csv
import datetime as dt
import math
from decimal import ROUND_CEILING, Decimal
from pathlib import Path

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.parts.models import Part
from inventory.stock.errors import StockError
from inventory.stock.verbs.draw import draw
from inventory.stock.verbs.goods_in import goods_in

FILE = Path(settings.BASE_DIR) / "fixtures" / "demo" / "stock.csv"
FINE = Decimal("0.0001")
MOST_DRAWS = 16


@transaction.atomic
def stock_up(by: AbstractBaseUser) -> int:
    """Book the demo's stock by the verbs that people use; return of how many parts.

    Booked twice it is there once. Quantities, places and dates are invented.

    Raises:
        StockError: the file names a part that the catalogue does not have.
    """
    with FILE.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    parts = {part.code: part for part in Part.objects.filter(code__in=[r["code"] for r in rows])}
    unknown = [row["code"] for row in rows if row["code"] not in parts]
    if unknown:
        raise StockError(f"{FILE.name} names parts that are not known: {', '.join(unknown)}.")
    for row in rows:
        _stock(parts[row["code"]], row, by)
    return len(rows)


def _stock(part: Part, row: dict[str, str], by: AbstractBaseUser) -> None:
    """Place one part and book what came and went."""
    part.place, part.ending = row["place"], row["ending"]
    part.minimum, part.markup = Decimal(row["minimum"]), Decimal(row["markup"])
    part.pack_size = int(row["pack_size"])
    part.full_clean()
    part.save()
    goods_in(
        part,
        quantity=Decimal(row["came"]),
        unit_cost=(part.cost_net * Decimal(row["cost_share_of_usual"])).quantize(FINE),
        at=_days_ago(row["came_days_ago"]),
        reference="opening stock",
        by=by,
        key=f"demo:{part.code}:in",
    )
    if row["drawn_days_ago"]:
        _draw(part, row, by)


def _draw(part: Part, row: dict[str, str], by: AbstractBaseUser) -> None:
    """Book what was drawn, in a few draws from when it came to when it was last drawn."""
    came, last = int(row["came_days_ago"]), int(row["drawn_days_ago"])
    left = Decimal(row["drawn"])
    each = max(Decimal(1), (left / MOST_DRAWS).to_integral_value(ROUND_CEILING))
    times = math.ceil(left / each)
    for number in range(1, times + 1):
        draw(
            part,
            quantity=min(each, left),
            at=_days_ago(str(came - (came - last) * number // times)),
            reference="repairs",
            by=by,
            key=f"demo:{part.code}:out:{number}",
        )
        left -= min(each, left)


def _days_ago(days: str) -> dt.datetime:
    """Return the moment that many days ago."""
    return timezone.now() - dt.timedelta(days=int(days))
