"""Reading stock: levels for the list, a part's page, stocktakes, and what the stock is worth."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from operator import attrgetter

from django.db.models import Count, DecimalField, F, Max, Q, QuerySet, Value
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from inventory.core.money import quantise
from inventory.core.selling import Rounding, selling_price
from inventory.parts.models import FitFacts, Part
from inventory.shopfacts import money_unit, shop_facts
from inventory.stock.ledger import held, ledger_of, level_at
from inventory.stock.models import (
    MovementKind,
    Reservation,
    StockCount,
    StockLevel,
    StockMovement,
    Stocktake,
)
from inventory.suppliers.models import SupplierPart

ZERO = Decimal(0)
SHOWN_MOVEMENTS = 50
SHOWN_IN_REPORT = 25
NONE = Value(ZERO, output_field=DecimalField(max_digits=11, decimal_places=2))


def parts_for_list() -> QuerySet[Part]:
    """Return all parts with ``on_hand``, ``reserved``, ``free`` and ``worth``, for one query."""
    return Part.objects.annotate(
        on_hand=Coalesce("level__on_hand", NONE),
        reserved=Coalesce("level__reserved", NONE),
        worth=Coalesce("level__value", NONE),
        free=Coalesce(F("level__on_hand") - F("level__reserved"), NONE),
    ).order_by("name", "pk")


def short(parts: QuerySet[Part], waited_for: Iterable[int] = ()) -> QuerySet[Part]:
    """Return those of which fewer are free than there should be, or that are waited for."""
    return parts.filter(Q(active=True, minimum__gt=F("free")) | Q(pk__in=list(waited_for)))


def part_of_code(text: str) -> Part | None:
    """Return the part that a scanned or typed code means.

    That is the part with this article number or code of ours, else the only one of which a
    supplier's article has this article number.
    """
    code = "".join(text.split())
    if not code:
        return None
    numbers = {code, code.zfill(13)} if code.isdecimal() else {code}
    own = Part.objects.filter(Q(gtin__in=numbers) | Q(code__iexact=code)).first()
    if own is not None or not code.isdecimal():
        return own
    sold = SupplierPart.objects.filter(gtin__in=numbers, valid_until__isnull=True)
    parts = set(sold.filter(part__isnull=False).values_list("part", flat=True))
    return Part.objects.get(pk=parts.pop()) if len(parts) == 1 else None


def part_scanned(code: str) -> str | None:
    """Return the page of the part with this article number.

    Our own codes are words that may be searched for elsewhere, so that only numbers count here.
    """
    found = part_of_code(code) if code.isascii() and code.isdecimal() else None
    return reverse("stock:part", args=(found.pk,)) if found else None


@dataclass(frozen=True, slots=True)
class ProposedPrice:
    """The price that a part's mark-up gives, without VAT and as it stands on the ticket."""

    net: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True)
class PartPage:
    """All that a part's page shows; ``proposed_price`` follows its mark-up."""

    part: Part
    level: StockLevel
    fit: FitFacts | None
    movements: list[StockMovement]
    reservations: list[Reservation]
    proposed_price: ProposedPrice | None
    average: Decimal | None

    @property
    def short_of(self) -> Decimal:
        """Return how many are missing to what there should be."""
        return max(self.part.minimum - self.level.available, ZERO)


def part_page(part: Part) -> PartPage:
    """Return a part with its level, fit, latest movements and open reservations."""
    movements = StockMovement.objects.filter(part=part).select_related("by", "reversal", "corrects")
    level = StockLevel.objects.filter(part=part).first() or StockLevel(part=part)
    return PartPage(
        part,
        level,
        FitFacts.objects.filter(part=part).first(),
        list(movements.order_by("-at", "-pk")[:SHOWN_MOVEMENTS]),
        list(Reservation.objects.filter(part=part, left__gt=0).select_related("by")),
        proposed_price(part),
        average_of(level),
    )


def average_of(level: StockLevel) -> Decimal | None:
    """Return what one stands at, net, rounded for showing; None where there is none."""
    if not level.on_hand:
        return None
    return quantise(level.value / level.on_hand, shop_facts().currency())


def proposed_price(part: Part) -> ProposedPrice | None:
    """Return the price by the part's mark-up; None where it has none."""
    if part.markup is None:
        return None
    rate = shop_facts().vat_rate(part.vat_code, timezone.localdate())
    ending = Rounding(part.ending)
    net = selling_price(part.cost_net, part.markup, ending, vat_rate=rate, unit=money_unit())
    currency = shop_facts().currency()
    return ProposedPrice(quantise(net, currency), quantise(net * (1 + rate), currency))


def draws_still_out(part: Part) -> list[tuple[StockMovement, Decimal]]:
    """Return the draws of which something can still be returned, newest first, and how many."""
    rows = held(ledger_of(part.pk))
    back: dict[int | None, Decimal] = defaultdict(Decimal)
    for row in rows:
        back[row.movement.returns_id] += row.movement.quantity
    draws = [row.movement for row in rows if row.movement.kind == MovementKind.DRAW]
    pairs = [(each, -each.quantity - back[each.pk]) for each in reversed(draws)]
    return [(each, out) for each, out in pairs if out > 0]


# stocktakes


@dataclass(frozen=True, slots=True)
class Place:
    """A shelf place, how many parts lie there, and its count where one is open."""

    name: str
    parts: int
    stocktake: Stocktake | None


def places() -> list[Place]:
    """Return the shelf places in order."""
    rows = Part.objects.filter(active=True).exclude(place="").order_by("place")
    counts = rows.values_list("place").annotate(parts=Count("pk"))
    taken = {each.place: each for each in Stocktake.objects.filter(closed_at__isnull=True)}
    return [Place(name, parts, taken.get(name)) for name, parts in counts]


def closed_stocktakes(most: int = 10) -> QuerySet[Stocktake]:
    """Return the latest stocktakes that are done."""
    return Stocktake.objects.filter(closed_at__isnull=False).select_related("closed_by")[:most]


def to_count(stocktake: Stocktake) -> list[tuple[Part, StockCount | None]]:
    """Return the parts that lie at the place, or were counted there, with their counts."""
    counts = {each.part_id: each for each in stocktake.counts.all()}
    here = Q(place=stocktake.place, active=True) | Q(pk__in=counts)
    return [(part, counts.get(part.pk)) for part in Part.objects.filter(here)]


@dataclass(frozen=True, slots=True)
class Difference:
    """A count beside the level at its moment; ``value`` is what the difference is worth, net."""

    count: StockCount
    expected: Decimal
    value: Decimal

    @property
    def quantity(self) -> Decimal:
        """Return how many more were counted than there should be."""
        return self.count.counted - self.expected


def differences(stocktake: Stocktake) -> list[Difference]:
    """Return the counts with the levels of their moments, in two queries; the largest first."""
    counts = list(stocktake.counts.select_related("part", "by"))
    ledgers: dict[int, list[StockMovement]] = defaultdict(list)
    for row in StockMovement.objects.filter(part__in=[each.part_id for each in counts]):
        ledgers[row.part_id].append(row)
    found = [difference(each, ledgers[each.part_id]) for each in counts]
    return sorted(found, key=lambda each: abs(each.value), reverse=True)


def difference(count: StockCount, ledger: Iterable[StockMovement]) -> Difference:
    """Return a count beside what the ledger says of its moment."""
    there, value = level_at(held(ledger), count.counted_at)
    each = value / there if there else count.part.cost_net
    return Difference(count, there, (count.counted - there) * each)


# reports


@dataclass(frozen=True, slots=True)
class Worth:
    """A part, how many there were, and what they were worth, net."""

    part: Part
    quantity: Decimal
    value: Decimal


def end_of(day: dt.date) -> dt.datetime:
    """Return the moment at which a day has ended."""
    return timezone.make_aware(dt.datetime.combine(day + dt.timedelta(days=1), dt.time.min))


def worth_on(day: dt.date) -> tuple[Decimal, list[Worth]]:
    """Return what the stock was worth at the end of a day, in all and by part, dearest first.

    The levels tell it from today on; for a day that has passed the movements up to it are added.
    """
    passed = day < timezone.localdate()
    sums = _worth_by_movements(end_of(day)) if passed else _worth_by_levels()
    total = sum((value for _, value in sums.values()), ZERO)
    dearest = sorted(sums, key=lambda each: sums[each][1], reverse=True)[:SHOWN_IN_REPORT]
    parts = Part.objects.in_bulk(dearest)
    return total, [Worth(parts[each], *sums[each]) for each in dearest if sums[each][0]]


def _worth_by_levels() -> dict[int, list[Decimal]]:
    """Return quantity and value by part, as the levels stand."""
    rows = StockLevel.objects.order_by().values_list("part_id", "on_hand", "value")
    return {part_id: list(told) for part_id, *told in rows.iterator()}


def _worth_by_movements(until: dt.datetime) -> dict[int, list[Decimal]]:
    """Return quantity and value by part, of all that moved before a moment."""
    rows = StockMovement.objects.filter(at__lt=until).order_by()
    sums: dict[int, list[Decimal]] = defaultdict(lambda: [ZERO, ZERO])
    for part_id, quantity, value in rows.values_list("part_id", "quantity", "value").iterator():
        sums[part_id][0] += quantity
        sums[part_id][1] += value
    return sums


@dataclass(frozen=True, slots=True)
class DeadStock:
    """What lies dead: its value in all, net, and the dearest of it with when it was last drawn."""

    value: Decimal
    dearest: list[tuple[StockLevel, dt.datetime | None]]


def dead_stock(days: int) -> DeadStock:
    """Return what is on hand and has neither come in nor been drawn for days.

    The parts that moved are read first and told apart here: as one query PostgreSQL may take
    minutes over it, as long as it has no statistics of the tables.
    """
    since = timezone.now() - dt.timedelta(days=days)
    moved = StockMovement.objects.filter(at__gte=since).order_by()
    quiet = (MovementKind.COUNT, MovementKind.REVALUATION)
    moving = set(moved.exclude(kind__in=quiet).values_list("part_id", flat=True).distinct())
    levels = StockLevel.objects.filter(on_hand__gt=0).values_list("part_id", "value")
    values = {part_id: value for part_id, value in levels.iterator() if part_id not in moving}
    dearest = sorted(values, key=lambda each: values[each], reverse=True)[:SHOWN_IN_REPORT]
    rows = StockLevel.objects.select_related("part").in_bulk(dearest)
    draws = StockMovement.objects.filter(part__in=dearest, kind=MovementKind.DRAW).order_by()
    last = dict(draws.values_list("part_id").annotate(last=Max("at")))
    shown = [(rows[each], last.get(each)) for each in dearest]
    return DeadStock(sum(values.values(), ZERO), shown)


@dataclass(frozen=True, slots=True)
class Used:
    """A part, how many were used in a period, what they cost and bring at today's price, net."""

    part: Part
    quantity: Decimal
    cost: Decimal

    @property
    def margin(self) -> Decimal:
        """Return what is left of today's selling price after the cost, net."""
        price: Decimal = self.part.price_net
        return self.quantity * price - self.cost


def used_most(first: dt.date, last: dt.date) -> list[Used]:
    """Return the parts drawn and not returned from one day to another, most used first."""
    since = timezone.make_aware(dt.datetime.combine(first, dt.time.min))
    rows = StockMovement.objects.filter(at__gte=since, at__lt=end_of(last)).order_by()
    used = Q(kind__in=(MovementKind.DRAW, MovementKind.RETURN)) | Q(
        reversal_of__kind__in=(MovementKind.DRAW, MovementKind.RETURN)
    )
    used |= Q(corrects__kind__in=(MovementKind.DRAW, MovementKind.RETURN))
    sums: dict[int, list[Decimal]] = defaultdict(lambda: [ZERO, ZERO])
    for part_id, quantity, value in rows.filter(used).values_list("part_id", "quantity", "value"):
        sums[part_id][0] -= quantity
        sums[part_id][1] -= value
    most = sorted(sums, key=lambda each: sums[each][0], reverse=True)[:SHOWN_IN_REPORT]
    parts = Part.objects.in_bulk(most)
    found = [Used(parts[each], *sums[each]) for each in most if sums[each][0] > 0]
    return sorted(found, key=attrgetter("quantity"), reverse=True)
