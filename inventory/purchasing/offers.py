"""Who sells a part at which price, the cheapest first."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import format_money, quantise
from inventory.parts.models import Part
from inventory.suppliers.models import Supplier, SupplierPart

LOCALE = "en_GB"


@dataclass(frozen=True, slots=True)
class Offer:
    """A part as a supplier sells it: ``pack_cost_net`` for a pack, net, in its currency.

    Without an ``article`` it is our own guess: the part's cost and pack, the supplier to be chosen.
    """

    supplier: Supplier
    article: SupplierPart | None
    code: str
    name: str
    pack: int
    pack_cost_net: Decimal

    @property
    def key(self) -> str:
        """Return what names the offer in a form."""
        return f"a{self.article.pk}" if self.article else f"s{self.supplier.pk}"

    @property
    def each_net(self) -> Decimal:
        """Return the cost of one, net, in the supplier's currency."""
        return self.pack_cost_net / self.pack

    def packs_for(self, quantity: Decimal) -> int:
        """Return the fewest packs that hold a quantity."""
        return max(math.ceil(quantity / self.pack), 0)

    def amount_net(self, packs: int) -> Decimal:
        """Return what packs come to, net, in the supplier's currency."""
        return quantise(self.pack_cost_net * packs, self.supplier.currency)

    def words(self, *, with_cost: bool) -> str:
        """Return it as it is offered in a list to choose from."""
        cost = format_money(self.pack_cost_net, self.supplier.currency, LOCALE)
        facts = (
            self.code,
            cost if with_cost else "",
            f"pack of {self.pack}" if self.pack > 1 else "",
            str(self.supplier),
        )
        return ", ".join(each for each in facts if each)


def offer_of(article: SupplierPart) -> Offer:
    """Return an article as an offer."""
    return Offer(
        article.supplier, article, article.code, article.name, article.pack, article.cost_net
    )


def offers_for(parts: Iterable[int], currency: str) -> dict[int, list[Offer]]:
    """Return what suppliers in use sell of each part, in one query, the cheapest piece first.

    What is priced in another currency than the shop's comes last: it can't be compared.
    """
    rows = SupplierPart.objects.filter(
        part__in=list(parts), valid_until__isnull=True, supplier__active=True
    )
    found: dict[int, list[Offer]] = defaultdict(list)
    for article in rows.select_related("supplier"):
        if article.part_id is not None:
            found[article.part_id].append(offer_of(article))
    for offers in found.values():
        offers.sort(key=lambda each: (each.supplier.currency != currency, each.each_net, each.key))
    return found


def guessed(part: Part, supplier: Supplier, currency: str) -> Offer:
    """Return an offer of a part that no supplier has in a price list: at our own cost.

    In a currency that is not the shop's the price is 0, to be written in by hand.
    """
    cost = part.cost_net if supplier.currency == currency else Decimal(0)
    return Offer(supplier, None, "", part.name, part.pack_size, cost * part.pack_size)
