"""What work on bikes in stock really cost: times noted at the bench, parts out of the ledger."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone

from inventory.core.money import ZERO, quantise
from inventory.stock.models import StockMovement
from quotes.sales.models import Purchase
from workshop.jobcards.models import Drawn, JobCard, Task, TaskState, TimeSpan
from workshop.labour.models import LabourRate
from workshop.shop.models import Shop
from workshop.shop.selectors import vat_rates_on

HOUR = Decimal(60)
SECONDS = Decimal(60)


@dataclass(frozen=True, slots=True)
class WorkDone:
    """What was done on a bike: minutes, and what they and the parts cost the shop, quantised.

    ``minutes`` are those noted, None where a job card has none: then its standard times are
    taken for the cost. ``planned`` are the standard minutes of what was done.
    """

    planned: Decimal = ZERO
    minutes: Decimal | None = None
    labour: Decimal = ZERO
    parts: Decimal = ZERO
    released_on: dt.date | None = None

    @property
    def cost(self) -> Decimal:
        """Return what it cost in all."""
        return self.labour + self.parts


NOTHING = WorkDone()


def work_done(
    purchases: Sequence[Purchase], ends: dict[int, dt.date], shop: Shop
) -> dict[int, WorkDone]:
    """Return the work on the bikes of these purchases, by purchase.

    ``ends`` says up to which day, by purchase; without one all of it counts. Runs six queries
    however many there are.
    """
    cards = _cards(purchases, ends)
    pks = [card.pk for rows in cards.values() for card in rows]
    tasks: dict[int, list[Task]] = defaultdict(list)
    done = Task.objects.filter(card__in=pks, state=TaskState.DONE)
    for task in done.select_related("operation", "step"):
        tasks[task.card_id].append(task)
    spans: dict[int, list[TimeSpan]] = defaultdict(list)
    noted = TimeSpan.objects.filter(task__card__in=pks, stopped_at__isnull=False)
    for span in noted.select_related("task__operation", "task__step"):
        spans[span.task.card_id].append(span)
    rates, parts = Rates.all(), _parts(pks, shop)
    return {
        purchase.pk: _sum(
            [
                _of_card(card, tasks[card.pk], spans[card.pk], rates, parts[card.pk], shop)
                for card in cards[purchase.pk]
            ]
        )
        for purchase in purchases
    }


def _cards(purchases: Iterable[Purchase], ends: dict[int, dt.date]) -> dict[int, list[JobCard]]:
    """Return the job cards opened while each bike was in stock."""
    purchases = list(purchases)
    by_bike: dict[int, list[JobCard]] = defaultdict(list)
    for card in JobCard.objects.filter(bike__in=[each.bike_id for each in purchases]):
        by_bike[card.bike_id].append(card)
    found: dict[int, list[JobCard]] = {}
    for each in purchases:
        last = ends.get(each.pk)
        found[each.pk] = [
            card
            for card in by_bike[each.bike_id]
            if each.bought_on <= _day(card.opened_at)
            and (last is None or _day(card.opened_at) <= last)
        ]
    return found


def _day(moment: dt.datetime) -> dt.date:
    return timezone.localtime(moment).date()


@dataclass(frozen=True, slots=True)
class Rates:
    """What an hour costs, by band, the latest first."""

    by_band: dict[int, list[tuple[dt.date, Decimal]]]

    @classmethod
    def all(cls) -> Rates:
        """Read them."""
        found: dict[int, list[tuple[dt.date, Decimal]]] = defaultdict(list)
        for row in LabourRate.objects.order_by("-valid_from"):
            found[row.band_id].append((row.valid_from, row.cost_net))
        return cls(dict(found))

    def hour(self, task: Task, day: dt.date) -> Decimal:
        """Return what an hour of a task cost on a day; work of no known band costs the dearest."""
        band = next((each.band_id for each in (task.operation, task.step) if each), None)
        if band is not None:
            return self._on(band, day)
        return max((self._on(each, day) for each in self.by_band), default=ZERO)

    def _on(self, band: int, day: dt.date) -> Decimal:
        rows = self.by_band.get(band, [])
        return next((cost for valid_from, cost in rows if valid_from <= day), ZERO)


def _of_card(
    card: JobCard,
    tasks: Iterable[Task],
    spans: Sequence[TimeSpan],
    rates: Rates,
    parts: Decimal,
    shop: Shop,
) -> WorkDone:
    """Return what was done on one job card."""
    tasks = list(tasks)
    planned = sum((task.minutes for task in tasks), ZERO)
    if spans:
        pieces = [(each.task, _minutes(each), _day(each.started_at)) for each in spans]
    else:
        day = _day(card.opened_at)
        pieces = [(each, each.minutes, day) for each in tasks]
    labour = sum((much * rates.hour(task, day) / HOUR for task, much, day in pieces), ZERO)
    return WorkDone(
        planned,
        sum((much for _, much, _ in pieces), ZERO) if spans else None,
        quantise(labour, shop.currency),
        parts,
        _day(card.released_at) if card.released_at else None,
    )


def _minutes(span: TimeSpan) -> Decimal:
    """Return how long a span took, in minutes."""
    assert span.stopped_at is not None  # noqa: S101 - only those are read
    seconds = (span.stopped_at - span.started_at).total_seconds()
    return Decimal(str(seconds)) / SECONDS


def _parts(cards: Sequence[int], shop: Shop) -> dict[int, Decimal]:
    """Return what the parts drawn for each card stand at in the ledger, less what came back.

    A shop that is not registered gets no VAT back on them: it is added at the rates of today.
    """
    rates = {} if shop.vat_registered else vat_rates_on(timezone.localdate())
    card_of = dict(
        Drawn.objects.filter(row__task__card__in=cards).values_list("movement", "row__task__card")
    )
    draws = list(card_of)
    rows = StockMovement.objects.filter(
        Q(pk__in=draws)
        | Q(returns__in=draws)
        | Q(corrects__in=draws)
        | Q(reversal_of__in=draws)
        | Q(reversal_of__returns__in=draws)
        | Q(corrects__returns__in=draws)
    ).select_related("part", "reversal_of", "corrects")
    sums: dict[int, Decimal] = defaultdict(Decimal)
    for row in rows:
        value = quantise(row.value * (1 + rates.get(row.part.vat_code, ZERO)), shop.currency)
        sums[card_of[_draw_of(row, card_of)]] -= value
    return sums


def _draw_of(row: StockMovement, draws: dict[int, int]) -> int:
    """Return the draw to which a movement belongs."""
    other = row.reversal_of or row.corrects
    ids = (row.pk, row.returns_id, other and other.pk, other and other.returns_id)
    return next(each for each in ids if each in draws)


def _sum(parts: Sequence[WorkDone]) -> WorkDone:
    """Return the work of several cards together; times are known where every card has some.

    A card without work, for the release check alone, needs none.
    """
    if not parts:
        return NOTHING
    noted = [each.minutes for each in parts if each.planned or each.minutes is not None]
    known = bool(noted) and None not in noted
    return WorkDone(
        sum((each.planned for each in parts), ZERO),
        sum((each for each in noted if each is not None), ZERO) if known else None,
        sum((each.labour for each in parts), ZERO),
        sum((each.parts for each in parts), ZERO),
        max((each.released_on for each in parts if each.released_on), default=None),
    )
