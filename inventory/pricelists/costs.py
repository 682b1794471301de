"""What a price list does to the cost of our parts; their selling prices are left to their rules."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from simple_history.utils import bulk_update_with_history

from inventory.parts.models import Part
from inventory.pricelists.models import CostRule
from inventory.suppliers.matching import portions
from inventory.suppliers.models import PriceList, SupplierPart

AT_ONCE = 500
FIELDS = ("cost_net", "cost_low_net", "cost_high_net")


def take_costs(made: PriceList, rule: str, *, currency: str, by: AbstractBaseUser) -> int:
    """Write the cost of matched parts by the rule, with history, and tell how many changed.

    Nothing happens where the supplier's prices are not in ``currency``, the shop's. A part that
    several articles of the list are matched with takes the cheapest. The best and the worst cost
    of a part give way where they would contradict the new one.
    """
    if rule == CostRule.NONE or made.supplier.currency != currency:
        return 0
    changed = 0
    parts = Part.objects.filter(supplied__price_list=made, supplied__valid_until__isnull=True)
    for some in portions(parts.distinct().order_by("pk").iterator(AT_ONCE), AT_ONCE):
        costs = costs_of(some, made, only_cheapest=rule == CostRule.CHEAPEST)
        moved = [part for part in some if set_cost(part, costs.get(part.pk))]
        bulk_update_with_history(
            moved,
            Part,
            FIELDS,
            default_user=by,
            default_change_reason=f"price list of {made.supplier}"[:100],
        )
        changed += len(moved)
    return changed


def costs_of(parts: list[Part], made: PriceList, *, only_cheapest: bool) -> Mapping[int, Decimal]:
    """Return the cost of one piece by part, as the list has it."""
    offers = SupplierPart.objects.filter(
        part__in=parts, valid_until__isnull=True, currency=made.supplier.currency
    )
    mine: dict[int, Decimal] = {}
    others: dict[int, Decimal] = {}
    for each in offers.only("part_id", "cost_net", "pack", "price_list_id", "supplier_id"):
        if each.part_id is None:
            continue
        side = mine if each.price_list_id == made.pk else others
        if each.price_list_id == made.pk or each.supplier_id != made.supplier_id:
            cost = each.unit_cost_net
            side[each.part_id] = min(cost, side.get(each.part_id, cost))
    if not only_cheapest:
        return mine
    return {pk: cost for pk, cost in mine.items() if cost <= others.get(pk, cost)}


def set_cost(part: Part, cost: Decimal | None) -> bool:
    """Set a part's cost and tell whether it is another."""
    if cost is None or part.cost_net == cost:
        return False
    part.cost_net = cost
    if part.cost_low_net is not None:
        part.cost_low_net = min(part.cost_low_net, cost)
    if part.cost_high_net is not None:
        part.cost_high_net = max(part.cost_high_net, cost)
    return True
