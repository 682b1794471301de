"""Splitting an amount over several shares so that the shares add up to it exactly."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

ZERO = Decimal(0)


def split(amount: Decimal, weights: Sequence[Decimal], unit: Decimal) -> tuple[Decimal, ...]:
    """Split an amount by weights into multiples of ``unit`` that add up to it exactly.

    Running totals are rounded half-up, so each share is within one unit of its exact value, a
    weight of zero gets nothing, and the same order of weights always gives the same shares.
    Raises ``ValueError`` where the amount is no multiple of the unit, a weight is below zero, or
    there is an amount but no weight to bear it.
    """
    whole = sum(weights, ZERO)
    if any(weight < 0 for weight in weights):
        raise ValueError("A share cannot have a weight below zero.")
    if amount % unit:
        raise ValueError(f"{amount} is no multiple of {unit}.")
    if not whole:
        if amount:
            raise ValueError(f"There is nothing to spread {amount} over.")
        return (ZERO,) * len(weights)
    shares, running, given = [], ZERO, ZERO
    for weight in weights:
        running += weight
        upto = (amount * running / whole / unit).quantize(Decimal(1), ROUND_HALF_UP) * unit
        shares.append(upto - given)
        given = upto
    return tuple(shares)
