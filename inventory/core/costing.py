"""What stock is worth and what is drawn from it costs: first in first out, or moving average."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from enum import Enum
from typing import Protocol

ZERO = Decimal(0)
EXACT = 60
"""Digits of a division: far more than any amount has, so that only the issue is ever rounded."""


class Method(Enum):
    """How an issue is costed."""

    FIFO = "fifo"
    AVERAGE = "average"


class BelowZeroError(ValueError):
    """Raised where more goes out than is ``there``; ``place`` is the entry's."""

    def __init__(self, place: int, there: Decimal) -> None:
        self.place, self.there = place, there
        super().__init__(f"Entry {place} takes more than the {there} there are.")


@dataclass(frozen=True, slots=True)
class Entry:
    """What comes in, or goes out where ``quantity`` is below zero, in the stock's unit.

    ``value`` is what all of an entry that comes in cost, net, in whole minor units of the
    currency; of one that goes out it is not read. ``returns`` is the place of the entry of which
    this brings something back: it comes in at the share of what that one costs by now.
    """

    quantity: Decimal
    value: Decimal = ZERO
    returns: int | None = None


@dataclass(frozen=True, slots=True)
class Costed:
    """The value of each entry, below zero for what goes out, and what is left: quantity, value.

    ``sum(values) == value_left`` holds to the last minor unit.
    """

    values: tuple[Decimal, ...]
    quantity_left: Decimal
    value_left: Decimal


class Store(Protocol):
    """What keeps value while entries come in and go out."""

    quantity: Decimal
    value: Decimal

    def add(self, quantity: Decimal, value: Decimal) -> None:
        """Put a quantity in at its value."""

    def take(self, quantity: Decimal, unit: Decimal) -> Decimal:
        """Take a quantity that is there out and return its value, a multiple of ``unit``."""


class Average:
    """Moving weighted average: one heap, whose average is never rounded; the issue is."""

    def __init__(self) -> None:
        self.quantity, self.value = ZERO, ZERO

    def add(self, quantity: Decimal, value: Decimal) -> None:
        """Put a quantity on the heap."""
        self.quantity += quantity
        self.value += value

    def take(self, quantity: Decimal, unit: Decimal) -> Decimal:
        """Take from the heap at its average; the last of it takes the rest."""
        value = part_of(self.value, quantity, self.quantity, unit)
        self.quantity -= quantity
        self.value -= value
        return value


class Layers:
    """First in first out: layers as they came, the oldest taken first."""

    def __init__(self) -> None:
        self.quantity, self.value = ZERO, ZERO
        self.layers: deque[tuple[Decimal, Decimal]] = deque()

    def add(self, quantity: Decimal, value: Decimal) -> None:
        """Put a layer behind the others."""
        self.layers.append((quantity, value))
        self.quantity += quantity
        self.value += value

    def take(self, quantity: Decimal, unit: Decimal) -> Decimal:
        """Take from the oldest layers; the last of each takes its rest."""
        wanted, taken = quantity, ZERO
        while wanted:
            there, value = self.layers.popleft()
            out = min(wanted, there)
            cost = part_of(value, out, there, unit)
            if out < there:
                self.layers.appendleft((there - out, value - cost))
            wanted -= out
            taken += cost
        self.quantity -= quantity
        self.value -= taken
        return taken


STORES: dict[Method, type[Average | Layers]] = {Method.AVERAGE: Average, Method.FIFO: Layers}


def part_of(value: Decimal, quantity: Decimal, of: Decimal, unit: Decimal) -> Decimal:
    """Return the value of a quantity out of a larger one, half-up to ``unit``; of all, all."""
    if quantity == of:
        return value
    with localcontext(prec=EXACT):
        exact = value * quantity / of
        return (exact / unit).quantize(Decimal(1), ROUND_HALF_UP) * unit


def cost(entries: Sequence[Entry], method: Method, unit: Decimal) -> Costed:
    """Return the value of each entry, in the order in which they took effect.

    ``unit`` is the minor unit of the currency, such as 0.01.

    Raises:
        BelowZeroError: an entry takes more than there is at its place.
        ValueError: something comes in at a value below zero or finer than the minor unit, or
            more comes back than is out.
    """
    store: Store = STORES[method]()
    values = []
    still_out: dict[int, tuple[Decimal, Decimal]] = {}
    for place, entry in enumerate(entries):
        if entry.quantity >= 0:
            value = _comes_in(place, entry, still_out, unit)
            store.add(entry.quantity, value)
            values.append(value)
        elif -entry.quantity > store.quantity:
            raise BelowZeroError(place, store.quantity)
        else:
            taken = store.take(-entry.quantity, unit)
            still_out[place] = -entry.quantity, taken
            values.append(-taken)
    return Costed(tuple(values), store.quantity, store.value)


def _comes_in(
    place: int, entry: Entry, still_out: dict[int, tuple[Decimal, Decimal]], unit: Decimal
) -> Decimal:
    """Return the value at which an entry comes in; what comes back is no longer out."""
    if entry.returns is None:
        if entry.value < 0 or entry.value % unit:
            raise ValueError(f"Entry {place} comes in at {entry.value}: no amount of money.")
        return entry.value
    out, worth = still_out.get(entry.returns, (ZERO, ZERO))
    if entry.quantity > out:
        raise ValueError(f"Entry {place} brings back {entry.quantity}; {out} are out.")
    value = part_of(worth, entry.quantity, out, unit)
    still_out[entry.returns] = out - entry.quantity, worth - value
    return value
