"""Margin by part: what customers were charged for parts beside what those drawn for it cost.

Counted are the job cards that were released in a period, of bikes brought for repair: a bike that
the shop means to sell is charged to nobody.

- *charged* is the sum of the net amounts of the part's accepted lines, in the revision that the
  card was worked by in the end. A discount by hand belongs to no part and is not in it.
- *used* is what was drawn for the cards less what was given back, whenever that was.
- *cost* is what the ledger says those movements are worth, net, by the shop's method of costing;
  corrections for goods that were entered late and movements taken back are in it.
- *margin* is charged less cost; its share is that of what was charged.

A part that was charged and never drawn has no cost here, one drawn and not charged has nothing
charged: quantities stand beside each other so that this is seen.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet
from django.utils import timezone

from inventory.parts.models import Part
from inventory.stock.models import StockMovement
from inventory.stock.selectors import end_of
from quotes.quoting.models import Line, LineKind
from workshop.bikes.models import Purpose
from workshop.jobcards.models import Drawn, JobCard

ZERO = Decimal(0)
OF_THE_DRAWS = ("pk", "returns", "reversal_of", "reversal_of__returns", "corrects")
"""How movements belong to a draw: itself, what came back of it, either taken back, put right."""


@dataclass(frozen=True, slots=True)
class PartMargin:
    """A part with how many were charged and used, and money, all net in the shop's currency."""

    part: Part
    charged_for: Decimal
    used: Decimal
    charged: Decimal
    cost: Decimal

    @property
    def margin(self) -> Decimal:
        """Return what is left of the charge after the cost."""
        return self.charged - self.cost

    @property
    def share(self) -> Decimal | None:
        """Return the margin as a share of the charge; None where nothing was charged."""
        return self.margin / self.charged if self.charged else None

    @property
    def differs(self) -> bool:
        """Tell whether more or fewer were used than charged."""
        return self.charged_for != self.used


def cards_released(first: dt.date, last: dt.date) -> QuerySet[JobCard]:
    """Return the cards of repairs that were released from one day to another."""
    since = timezone.make_aware(dt.datetime.combine(first, dt.time.min))
    rows = JobCard.objects.filter(released_at__gte=since, released_at__lt=end_of(last))
    return rows.filter(bike__purpose=Purpose.REPAIR).order_by()


def part_margins(first: dt.date, last: dt.date) -> list[PartMargin]:
    """Return the parts charged or used, the largest margin first, in a constant number of queries.

    Money is added up here, never in the database.
    """
    cards = cards_released(first, last)
    sums: dict[int, list[Decimal]] = defaultdict(lambda: [ZERO] * 4)
    for part, quantity, net in _charged(cards):
        sums[part][0] += quantity
        sums[part][2] += net
    for part, quantity, value in _drawn(cards):
        sums[part][1] -= quantity
        sums[part][3] -= value
    parts = Part.objects.only("name", "code", "unit").in_bulk(list(sums))
    rows = [PartMargin(parts[key], *told) for key, told in sums.items() if any(told)]
    return sorted(rows, key=lambda each: (-each.margin, each.part.name))


def _charged(cards: QuerySet[JobCard]) -> Iterator[tuple[int, Decimal, Decimal]]:
    """Yield part, quantity and net amount of each accepted line."""
    lines = Line.objects.filter(
        kind=LineKind.PART,
        part__isnull=False,
        left_out=False,
        decision__accepted=True,
        revision__in=cards.values("revision_key"),
    )
    yield from lines.order_by().values_list("part_id", "quantity", "net").iterator()


def _drawn(cards: QuerySet[JobCard]) -> Iterator[tuple[int, Decimal, Decimal]]:
    """Yield part, quantity and value of each movement that belongs to a draw for the cards."""
    draws = Drawn.objects.filter(row__task__card__in=cards).order_by().values("movement")
    for how in OF_THE_DRAWS:
        rows = StockMovement.objects.filter(**{f"{how}__in": draws}).order_by()
        yield from rows.values_list("part_id", "quantity", "value").iterator()


@dataclass(frozen=True, slots=True)
class MarginSums:
    """What all parts of a period come to, net."""

    charged: Decimal
    cost: Decimal

    @property
    def margin(self) -> Decimal:
        """Return what is left of the charge after the cost."""
        return self.charged - self.cost

    @property
    def share(self) -> Decimal | None:
        """Return the margin as a share of the charge; None where nothing was charged."""
        return self.margin / self.charged if self.charged else None


def sums_of(rows: list[PartMargin]) -> MarginSums:
    """Return what the rows come to."""
    return MarginSums(
        sum((each.charged for each in rows), ZERO), sum((each.cost for each in rows), ZERO)
    )
