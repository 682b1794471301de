"""The day that a customer can be promised: for a new card, and for the open ones."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.parts.models import Part
from workshop.bench.awaited import Awaited, Need, together
from workshop.bench.calendar import bench_days, settings_now
from workshop.bench.models import BenchSettings
from workshop.bench.standing import Standing, standings
from workshop.bench.times import current_spread
from workshop.core.benchtime import BenchDay
from workshop.core.promise import Promise, Work, forecast
from workshop.core.spread import Spread
from workshop.jobcards.asked import WorkAsked
from workshop.shop.models import Shop
from workshop.shop.selectors import current_shop

NEW = "new"


@dataclass(frozen=True, slots=True)
class Forecast:
    """The open cards in the order of the queue with the day of each, and what it is reckoned from.

    ``promises`` are the cards' in their order; with a new card, its promise comes last.
    """

    standings: Sequence[Standing]
    promises: Sequence[Promise]
    days: Sequence[BenchDay]
    spread: Spread
    chosen: BenchSettings

    @property
    def today(self) -> dt.date:
        """Return the first of the days."""
        return self.days[0].day

    @property
    def next_day(self) -> dt.date:
        """Return the next day after today with hours at the bench, today where there is none."""
        return next((each.day for each in self.days[1:] if each.people), self.today)

    @property
    def has_hours(self) -> bool:
        """Tell whether anybody has hours at the bench on any of the days."""
        return any(each.people for each in self.days)


def forecast_now(
    shop: Shop | None = None, new: WorkAsked | None = None, now: dt.datetime | None = None
) -> Forecast:
    """Return the open cards and their days as things stand, in a constant number of queries.

    ``new`` is work for which no card is open yet: it stands behind all others.
    """
    here = shop or current_shop()
    chosen = settings_now()
    days = bench_days(here, chosen, now)
    needs = needs_of(new) if new else []
    found, supply = standings(here, chosen, days[0].day, needs)
    queue = [each.work for each in found]
    if new:
        awaited: dict[str, list[Awaited]] = defaultdict(list)
        for need in needs:
            awaits = supply.meet(need)
            if awaits is not None:
                awaited[need.task].append(awaits)
        queue.append(new_work(new, awaited, chosen))
    spread = current_spread()
    promises = forecast(queue, days, spread, float(chosen.share))
    return Forecast(found, promises, days, spread, chosen)


def promise_for(work: WorkAsked, shop: Shop | None = None) -> Promise:
    """Return the day that can be promised for work for which a card is about to be opened.

    ``day`` is None where there are no hours or too few; ``reasons`` say why it is that day. The
    queries are constant in number.
    """
    return forecast_now(shop, work).promises[-1]


def needs_of(work: WorkAsked) -> list[Need]:
    """Return the parts that new work needs, all of them still to be set aside."""
    names = dict(
        Part.objects.filter(pk__in=[each.part for each in work.parts]).values_list("pk", "name")
    )
    return [
        Need(each.task, each.part, names[each.part], each.quantity)
        for each in work.parts
        if each.quantity > 0 and each.part in names
    ]


def new_work(work: WorkAsked, awaited: dict[str, list[Awaited]], chosen: BenchSettings) -> Work:
    """Return what new work leaves to do: access and the release check come beside its tasks."""
    free, held = 0.0, []
    for task in work.tasks:
        minutes = float(task.minutes)
        if task.code in awaited:
            held.append(together(awaited[task.code]).held(minutes))
        else:
            free += minutes
    steps = float(sum(work.step_minutes.values(), Decimal(0)))
    last = steps / 2 + float(chosen.check_minutes)
    return Work(NEW, free + steps / 2, tuple(held), last)
