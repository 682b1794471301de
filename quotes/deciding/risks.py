"""Which hidden faults are reckoned with on a bike."""

from __future__ import annotations

from collections.abc import Iterable

from quotes.core.ranges import ThreePoint
from quotes.core.risk import Hidden
from quotes.deciding.models import HiddenRisk
from workshop.bikes.kinds import is_for
from workshop.bikes.models import Bike
from workshop.inspections.models import Finding


def hidden_in(bike: Bike, age: int | None, findings: Iterable[Finding]) -> tuple[Hidden, ...]:
    """Return what may hide in a bike of that age on which this was found, in three queries."""
    findings = list(findings)
    faults = {each.fault_id for each in findings}
    points = {each.fault.checkpoint_id for each in findings}
    rows = HiddenRisk.objects.filter(active=True).select_related("checkpoint")
    rows = rows.prefetch_related("faults", "unless")
    return tuple(
        Hidden(
            row.words,
            float(row.probability),
            ThreePoint(row.cost_low_net, row.cost_net, row.cost_high_net),
        )
        for row in rows
        if _belongs(row, bike, age) and _called_for(row, faults, points)
    )


def _belongs(row: HiddenRisk, bike: Bike, age: int | None) -> bool:
    """Tell whether a risk is one of such a bike; an unknown age matches every one."""
    old_enough = age is None or row.age_from is None or age >= row.age_from
    young_enough = age is None or row.age_below is None or age < row.age_below
    used = not row.uses or bike.use in row.uses
    zone = row.checkpoint.zone if row.checkpoint else ""
    return is_for(row, bike, zone) and old_enough and young_enough and used


def _called_for(row: HiddenRisk, faults: set[int], points: set[int]) -> bool:
    """Tell whether what was found calls for a risk and does not lay it open."""
    if faults & {each.pk for each in row.unless.all()}:
        return False
    triggers = {each.pk for each in row.faults.all()}
    if not triggers and row.checkpoint_id is None:
        return True
    return bool(triggers & faults) or row.checkpoint_id in points
