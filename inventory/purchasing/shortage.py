"""What is short, who waits for it, from whom it is best bought, and what that comes to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.core import workdays
from inventory.parts.models import Part
from inventory.purchasing.offers import Offer, guessed, offers_for
from inventory.purchasing.standing import in_drafts, on_order
from inventory.stock.selectors import parts_for_list, short
from inventory.stock.wants import Want, wants_of
from inventory.suppliers.models import Supplier

ZERO = Decimal(0)
MOST_SHOWN = 200


@dataclass(frozen=True, slots=True)
class Short:
    """A part of which fewer will be free than there should be; quantities in its unit.

    ``waiting`` are those who wait for it beyond what is reserved, the first promised first.
    """

    part: Part
    waiting: Sequence[Want]
    on_hand: Decimal
    reserved: Decimal
    on_order: Decimal
    in_drafts: Decimal
    offers: Sequence[Offer]
    chosen: Offer | None

    @property
    def waited_for(self) -> Decimal:
        """Return how many are waited for beyond what is reserved."""
        return _waited(self.waiting)

    @property
    def short_of(self) -> Decimal:
        """Return reserved + minimum − on hand − on order; what is waited for is to be reserved."""
        reserved = self.reserved + self.waited_for
        return reserved + self.part.minimum - self.on_hand - self.on_order

    @property
    def needed_on(self) -> dt.date | None:
        """Return the first day for which something that waits is promised."""
        return self.waiting[0].promised_on if self.waiting else None

    @property
    def comes_on(self) -> dt.date | None:
        """Return when it comes if it is ordered today; None where that is not known."""
        days = self.chosen.supplier.lead_days if self.chosen else None
        return None if days is None else workdays.after(timezone.localdate(), days)

    @property
    def comes_too_late(self) -> bool:
        """Tell whether it comes after the day for which something is promised."""
        needed, comes = self.needed_on, self.comes_on
        return needed is not None and comes is not None and comes > needed

    @property
    def to_order(self) -> Decimal:
        """Return what is short beyond what stands in drafts."""
        return max(self.short_of - self.in_drafts, ZERO)

    @property
    def packs(self) -> int:
        """Return the fewest packs that cover it; 0 where nobody sells it."""
        return self.chosen.packs_for(self.to_order) if self.chosen else 0

    @property
    def pieces(self) -> int:
        """Return how many those packs hold."""
        return self.packs * self.chosen.pack if self.chosen else 0

    @property
    def amount_net(self) -> Decimal:
        """Return what they come to, net, in the supplier's currency."""
        return self.chosen.amount_net(self.packs) if self.chosen else ZERO


@dataclass(frozen=True, slots=True)
class Group:
    """What is short and best bought from one supplier, or from nobody known."""

    supplier: Supplier | None
    rows: Sequence[Short]

    @property
    def total_net(self) -> Decimal:
        """Return what it comes to, net, in the supplier's currency."""
        return sum((each.amount_net for each in self.rows), ZERO)

    @property
    def to_free_carriage(self) -> Decimal | None:
        """Return what is missing to free carriage; None where no threshold is known."""
        threshold = self.supplier.carriage_free_net if self.supplier else None
        return None if threshold is None else max(threshold - self.total_net, ZERO)


def shortages(
    currency: str, choices: Mapping[int, str] | None = None, most: int = MOST_SHOWN
) -> list[Group]:
    """Return what is short by supplier, in a constant number of queries.

    ``choices`` names an offer by part where another than the cheapest is wished; ``currency`` is
    the shop's. What somebody waits for comes first.
    """
    wants, ordered = wants_of(), on_order()
    missing = _missing(wants, ordered)[:most]
    parts = {part.pk: part for part in parts_for_list().filter(pk__in=missing)}
    offers, drafted = offers_for(missing, currency), in_drafts(missing)
    suppliers = list(Supplier.objects.filter(active=True))
    rows = []
    for part in (parts[each] for each in missing):
        own = offers.get(part.pk) or [guessed(part, each, currency) for each in suppliers]
        wished = (choices or {}).get(part.pk)
        named = next((each for each in own if each.key == wished), None)
        chosen = named or (own[0] if part.pk in offers else None)
        level = (part.on_hand, part.reserved)  # type: ignore[attr-defined] # annotated by the query
        told = (wants.get(part.pk, ()), *level, ordered.get(part.pk, ZERO), drafted[part.pk])
        rows.append(Short(part, *told, own, chosen))
    return _grouped(rows)


def _missing(wants: Mapping[int, Sequence[Want]], ordered: Mapping[int, Decimal]) -> list[int]:
    """Return the parts that are short: what is waited for by its first promise, then by name."""
    rows = short(parts_for_list(), wants).values_list("pk", "minimum", "free")  # type: ignore[misc] # "free" is annotated
    found = [
        pk
        for pk, minimum, free in rows.iterator()
        if _waited(wants.get(pk, ())) + minimum - free > ordered.get(pk, ZERO)
    ]
    return sorted(found, key=lambda pk: _first(wants.get(pk, ())))


def _waited(wants: Sequence[Want]) -> Decimal:
    """Return how many are waited for."""
    return sum((each.quantity for each in wants), ZERO)


def _first(wants: Sequence[Want]) -> tuple[bool, dt.date]:
    """Return what sorts parts: those waited for by their first promise, then the others."""
    return not wants, (wants[0].promised_on if wants else None) or dt.date.max


def _grouped(rows: Sequence[Short]) -> list[Group]:
    """Return rows by the supplier chosen, by name; what nobody sells comes last."""
    by_supplier: dict[int, list[Short]] = {}
    suppliers: dict[int, Supplier | None] = {}
    for row in rows:
        supplier = row.chosen.supplier if row.chosen else None
        key = supplier.pk if supplier else 0
        suppliers[key] = supplier
        by_supplier.setdefault(key, []).append(row)
    groups = [Group(suppliers[key], found) for key, found in by_supplier.items()]
    return sorted(groups, key=lambda each: (each.supplier is None, str(each.supplier).casefold()))


def shown(groups: Sequence[Group]) -> int:
    """Return of how many parts the groups tell."""
    return sum(len(each.rows) for each in groups)
