"""Changes how the shop costs its draws, and puts right all that were costed otherwise."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.stock.booking import lock, settle
from inventory.stock.ledger import held, ledger_of
from inventory.stock.models import CostMethod, StockLevel, StockMovement, StockSettings


@transaction.atomic
def choose_method(method: CostMethod | str, *, by: AbstractBaseUser) -> int:
    """Cost all that was ever drawn by another method; return for how many parts that differs.

    A change of method holds for the past as well, so that values before and after can be
    compared; what was booked stays, revaluations stand beside it.
    """
    settings, _ = StockSettings.objects.get_or_create(pk=1)
    settings.method = CostMethod(method)
    settings.save()
    differing = 0
    levels = StockLevel.objects.exclude(method=method).select_related("part").order_by("part_id")
    for each in levels:
        level = lock(each.part)
        level.method = CostMethod(method)
        ledger = ledger_of(each.part_id)
        value = level.value
        cause = StockMovement(
            pk=max((row.pk for row in ledger), default=0),
            by_id=by.pk,
            reference="method of costing",
        )
        settle(level, held(ledger), cause)
        differing += level.value != value
    return differing
