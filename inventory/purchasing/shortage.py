"""What is short, from whom it is best bought, and what that comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.parts.models import Part
from inventory.purchasing.offers import Offer, guessed, offers_for
from inventory.purchasing.standing import in_drafts, on_order
from inventory.stock.selectors import parts_for_list, short
from inventory.suppliers.models import Supplier

ZERO = Decimal(0)
MOST_SHOWN = 200


@dataclass(frozen=True, slots=True)
class Short:
    """A part of which fewer will be free than there should be; quantities in its unit."""

    part: Part
    on_hand: Decimal
    reserved: Decimal
    on_order: Decimal
    in_drafts: Decimal
    offers: Sequence[Offer]
    chosen: Offer | None

    @property
    def short_of(self) -> Decimal:
        """Return reserved + minimum − on hand − on order."""
        return self.reserved + self.part.minimum - self.on_hand - self.on_order

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
    the shop's.
    """
    parts = list(short(parts_for_list()))
    ordered = on_order(part.pk for part in parts)
    missing = [each for each in parts if each.minimum - _free(each) > ordered[each.pk]][:most]
    offers = offers_for((part.pk for part in missing), currency)
    drafted = in_drafts(part.pk for part in missing)
    suppliers = list(Supplier.objects.filter(active=True))
    rows = []
    for part in missing:
        own = offers.get(part.pk) or [guessed(part, each, currency) for each in suppliers]
        wished = (choices or {}).get(part.pk)
        named = next((each for each in own if each.key == wished), None)
        chosen = named or (own[0] if part.pk in offers else None)
        level = (part.on_hand, part.reserved)  # type: ignore[attr-defined] # annotated by the query
        rows.append(Short(part, *level, ordered[part.pk], drafted[part.pk], own, chosen))
    return _grouped(rows)


def _free(part: Part) -> Decimal:
    """Return how many nobody has reserved, as the query gave it."""
    free: Decimal = part.free  # type: ignore[attr-defined] # annotated by the query
    return free


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
